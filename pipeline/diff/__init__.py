"""What differs between two charts, told in words, in pictures and as a sheet of corrections."""
