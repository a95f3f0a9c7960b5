"""The keeper's questions, answered from measurements."""
