"""What photo tests share."""

from django.core.files.uploadedfile import SimpleUploadedFile


def upload(content: bytes, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    """A file as a browser sends it."""
    return SimpleUploadedFile(name, content, content_type="image/jpeg")
