# Sign-off: the checks, the marks, the evidence.
signoff-title = Sign-off
signoff-companion = Attempt file and hashes
signoff-run = Run all checks
signoff-run-again = Run all checks again
signoff-stop = Stop
signoff-running = { $done } of { $of } trials done
signoff-starting = starting
signoff-never = The checks have not been run yet. Each trial starts the machine anew with your wiring and the program on the
    sheet, and works it step by step.
signoff-stale = You have changed the work since these marks; run the checks again.
signoff-passed = Passed
signoff-not-passed = Not passed
signoff-total = { $earned } of { $of } marks
signoff-why-marks = { $pass } marks are needed, { $missing } are missing.
signoff-why-musts = Musts that are not kept: { $musts }.
signoff-why-ok = Enough marks, and every must is kept.
signoff-errors = Nothing could be tried:
signoff-kept = kept
signoff-broken = broken
signoff-not-tried = not tried
signoff-must = must
signoff-trials = { $kept } of { $all } trials kept
signoff-trial-kept = kept
signoff-trial-broken = broken at { $time }
signoff-done = done before
signoff-expected = expected
signoff-seen = seen
signoff-at = at
signoff-at-step = { $time }, line { $line } of the trial
signoff-step-press = press { $part }
signoff-step-release = let { $part } go
signoff-step-wait = wait { $time }
signoff-in-last = { $what } within the last { $time }
signoff-show = Show on the timing diagram
signoff-moment = expected { $expected }; seen { $seen }
signoff-hide = Hide the timing diagram
signoff-replay-failed = The trial could not be run again: { $problem }
signoff-hashes = Hashes
signoff-trace-hash = trace, every signal at every tick
signoff-exact-hash = exact, all numbers besides
signoff-chain = The file carries a chain over all you did. It shows damage, not forgery: whoever edits a file can compute the
    chain anew. An instructor marks it by running it again.
checks-no-worker = The checks could not be started; the browser does not let this page use a worker. The tool sealin marks
    the attempt file too.
checks-other-build = Two builds of the page are mixed in this browser. Load the page again.
