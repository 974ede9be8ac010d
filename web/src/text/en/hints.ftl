# The first minute and the worked example.
start-title = Start here
start-show = Show me the first steps
start-all-done = Every first step has been taken in this attempt.
start-paddle = This panel raises and lowers a paddle of the lock, and starts by itself when it must not: you will wire the
    answers of the contactors to the controller, change the program so that it listens to them, and show that it works. The
    first steps, to the first press of a button, take about a minute.
hint-name = Hint { $number } of { $of }
hint-put-away = Put away
hint-stop = No more hints
hint-turn = Next: sheet { $number }, { $sheet }.
hint-take = Your first conductor begins here, at QA1:14, the contact that tells that QA1 is in. Drag from it to KF1:I4; or
    choose first the one and then the other; or type QA1:14 > KF1:I4 into the schedule.
hint-end = It ends here, at KF1:I4, the input that the I/O list gives to this contact.
hint-rung = Your first rung lights the lamp when the overload has tripped: choose New rung here, write PF1_out := FC1_in and
    press Enter.
hint-transfer = The controller still runs the program from before. Transfer yours to it.
hint-supply = Switch the supply on. On real gear the dead tests come first, and so they do in this job; for a first look the
    bench forgives it. The controller then needs two seconds.
hint-press = Press RAISE and let go, with pointer, finger, or Space. Stop is beside it.
hint-next = From here on the bench is yours. Trip the overload with Test, push Reset, and see what is wrong with this panel.
    Sheet 1 says what is to be done.
example-look = Look at a worked example
example-title = Worked example.
example-note = One way to do the job, to look at and to try. Nothing done here is kept; your own work waits as you left it.
example-back = Back to my work
example-cell = example, not kept
example-no-file = This is the worked example, and no attempt of yours: it is not saved as a file. Go back to your own work first.
example-none = There is no worked example of this job.
