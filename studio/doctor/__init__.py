"""What a studio's doctor looks at: each part is well, to be watched or ill, with what to do about it."""
