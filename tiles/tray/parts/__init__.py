"""The part of a shared photo that shows one tile: cut from its large rendition, addressed by where it lies."""
