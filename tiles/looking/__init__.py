"""What is seen in a photo once it is stored: decoded whole, prepared for show, looked at, filed; twice is no harm."""
