"""Pages by the question that they answer; each module gives the blocks of one."""
