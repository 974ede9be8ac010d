# Text of program.
