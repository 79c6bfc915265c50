"""What a page says when disk or database fail under it: what happened, that nothing was half kept, what to do."""
