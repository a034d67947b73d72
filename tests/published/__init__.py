"""Published values, row by row, each handed to a public function of ours. The rows are in tests/data/checks."""
