# The job sheet.
brief-title = { $job }
brief-facts = { $site }, { $machine }; level { $level } of 5, about { $minutes } minutes
brief-cautions = Cautions
brief-matrix = Cause and effect
brief-matrix-legend = ✓ comes on; X is forced off; – no effect. A row applies at rest unless it says otherwise.
brief-cause = cause
brief-requirements = said by
brief-behaviour = Required behaviour
brief-pass = { $pass } of { $total } marks and every must to pass
brief-number = no.
brief-required = the machine shall
brief-marks = marks
brief-must = must
brief-devices = Devices
brief-tag = tag
brief-device = device
brief-rating = rating and setting
brief-place = place
brief-companion = Your attempt and the way through the job
brief-way = The way through the job
brief-way-brief = read what is asked; you are here
brief-way-wiring = make the conductors that are missing
brief-way-circuit = read what is wired as current paths, and see it live
brief-way-program = close the loop in the program, and transfer it
brief-way-commissioning = switch on, try it, measure, run the checks
brief-way-fault-table = see what each single fault does to each requirement, and who notices it
brief-way-faults = set a fault and see what the machine does
brief-way-signoff = see the marks and save the attempt
brief-not = What this is not
brief-not-text = This is a training bench: a model of a motor starter, computed in your browser. It talks to no hardware
    and proves nothing about real equipment.
brief-not-proof = Real equipment is worked on by qualified persons only: isolated, locked off and proved dead, under the
    codes of the place. A function that keeps people safe, such as an emergency stop, needs parts made for it, not a program.
attempt-title = Your attempt
attempt-author = Name on the attempt
attempt-save = Save as a file
attempt-open = Open a file
attempt-start-over = New attempt
attempt-start-over-ask = Nothing is kept in this browser, so this throws your work away. Save it as a file first if you may want it again.
attempt-start-over-yes = Throw away and start over
attempt-start-over-no = Keep working
attempt-note = Your work is kept in this browser as you go, act by act: a conductor made, a button pressed, a program
    transferred. The file holds all of them; the same marks come out of it anywhere.
attempt-link = Make a link
attempt-link-copied = The link carries the attempt as it is now ({ $letters } letters), and is on the clipboard where the browser lets it
attempt-link-long = This attempt is too long for a link. Save it as a file.
attempt-link-bad = The link does not carry an attempt that can be opened: { $problem }. Your work is untouched.
attempt-opened = The attempt has been opened: { $acts } acts, bench time { $time }.
attempt-cut = Of the work kept in this browser, { $acts } acts could be read; the { $lost } after them were damaged.
attempt-too-long = The file has { $bytes } bytes; an attempt has at most { $most }.
attempt-bad = { $name } is not an attempt that can be opened. { $problem }. Your work is untouched.
attempt-damaged = The chain in the file does not fit its entries: it was damaged or changed by hand.
attempt-elsewhere = This job is open in another tab, which keeps the work. Close that tab; this page then loads again.
attempt-other-edition = That attempt was made on another edition of the job and cannot be taken up. It stays among those kept in
    this browser, where it can be saved as a file.
attempt-nothing-earlier = Nothing was done before this moment, so there is nothing to go back to.
attempt-fresh = The job has been started over.
