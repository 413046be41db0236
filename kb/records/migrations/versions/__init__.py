"""One migration a file, named NNNN_what.py."""
