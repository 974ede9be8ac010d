# Asking why a value is as it is. The sentences of the chain come from the core.
why = Why?
why-title = Ask why a value is as it is: point at it, or choose it and press ?
why-of = Why? { $name }
why-open = Why? Point at a value or choose a device
why-silent = Nothing to tell of it
why-sealed = A fault is hidden in this machine. Why? is silent until the work is handed in: look, think, measure.
why-asked = Why? { $what }
why-now = at { $time }, by the drawing
why-then = looked back to { $time }, by the drawing
why-again = As it is now
why-close = Close Why?
why-chain = Causes, nearest first
why-sheet = on sheet { $number }
why-other = and { $what }: Why?
