# The proofs beside the checks.

proof-title = Proof
proof-so-far = { $proven } of { $of } proven
proof-about = A check tries one order of pressing. The proof tries every order, at every millisecond, with the program on its sheet.
proof-run = Prove
proof-stop = Stop
proof-progress = { $id }: { $states } states, { $scans } scans deep
proof-stale = The work has been changed since. Prove it again.
proof-harm = no harm
proof-harm-text = Nothing is short-circuited or destroyed, and no coil is held with its armature blocked.
proof-exploring = exploring
proof-proven = proven
proof-never-exercised = proven, never exercised
proof-broken = broken
proof-not-reproduced = not reproduced
proof-undecided = undecided
proof-not-provable = not provable
proof-not-computed = not computed here
proof-never-exercised-why = What it speaks of never came to be in any order; that earns nothing.
proof-undecided-why = More states than the job allows for this requirement, or more ways in one scan than are tried. The checks decide.
proof-way = The shortest way in which it breaks
proof-breaks = It breaks { $time } after power-on.
proof-devices = What the devices did meanwhile
proof-marginal = Marginal, as another device of the type may do otherwise there: { $list }
proof-says = What that says
proof-says-text = In this model: every order and every millisecond of { $free }, one change of each per scan; every armature delay in its
    range; heat, motor and machine free; thresholds as given; { $faults }; no rewiring or program change while running; up to the first
    damage. { $states } states, { $scans } scans deep.
proof-no-fault = no fault
proof-one-fault = one fault from any scan on, of: { $faults }
proof-one-fault-intermittent = one fault from any scan on, of: { $faults }; what is intermittent is there or not in each scan anew
proof-with-fault = With the fault { $fault }.
proof-strikes = from here on the fault { $fault }
proof-show = Show it on the diagram
proof-moment = { $id } breaks here
