# Text of faults.
