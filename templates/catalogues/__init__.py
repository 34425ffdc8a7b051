"""The words of booklets in other languages; `__main__` brings them up to date."""
