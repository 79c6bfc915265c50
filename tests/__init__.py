"""What the product promises, in sentences of the trade; the folders mirror the code."""
