"""The pump and its liquid in numbers: SI floats and arrays in and out, no files, no clock."""
