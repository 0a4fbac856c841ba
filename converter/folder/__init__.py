"""A converted folder: what is written into it, what is kept beside the pattern, how it is read again."""
