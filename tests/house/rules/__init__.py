"""The rules of the house as functions: each takes a tree of files and gives one line for each thing that breaks it."""
