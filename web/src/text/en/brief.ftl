# Text of brief.
