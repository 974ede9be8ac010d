//! The standard function blocks, edges, comparisons and the first-scan flag, scan by scan, by hand from IEC 61131-3:
//! the timing diagrams of the timers, the bodies of the bistable, edge and counter blocks. Time passes from scan to scan
//! by the scan period.

use sealin_ladder::{
    Address, Area, Block, Call, Comparison, Compiled, Constant, Contact, FIRST_SCAN, Figures, Memory,
    Network, Operand, Output, Program, Relation, Rung, Test, Var, VarKind, compile,
};

const PERIOD_MS: u32 = 5;

/// A program of these rungs. Inputs `a` to `d` are %IX0.0 to %IX0.3; any other name is a bit, a block its block.
fn program(rungs: Vec<Rung>) -> Program {
    let mut vars: Vec<Var> = Vec::new();
    let mut declare = |name: &str, kind: VarKind, bit: Option<u8>| {
        if vars.iter().all(|var| var.name != name) {
            let address = bit.map(|bit| Address { area: Area::Input, byte: 0, bit });
            let (name, comment) = (name.to_owned(), String::new());
            vars.push(Var { name, address, kind, initial: false, retain: false, comment });
        }
    };
    for (bit, name) in (0..).zip(["a", "b", "c", "d"]) {
        declare(name, VarKind::Bool, Some(bit));
    }
    for rung in &rungs {
        match &rung.output {
            Output::Block(call) => declare(&call.instance, VarKind::Block(call.block), None),
            coil => declare(coil.var(), VarKind::Bool, None),
        }
        rung.each_contact(&mut |contact| {
            if let Some(var) = contact.bit().filter(|var| !var.contains('.')) {
                declare(var, VarKind::Bool, None);
            }
        });
    }
    Program { name: "p".into(), comment: String::new(), vars, rungs }
}

fn rung(logic: Network, output: Output) -> Rung {
    Rung { comment: String::new(), logic, output }
}

/// `x` of the block on inputs `a`, `b`, ... in the order of its pins.
fn block(block: Block, preset: Option<Constant>) -> Program {
    let mut inputs = ["a", "b", "c", "d"].into_iter().map(Network::open);
    let logic = inputs.next().unwrap();
    let further = inputs.take(block.inputs().len() - 1).map(Some).collect();
    let call = Call { instance: "x".into(), block, further, preset };
    program(vec![rung(logic, Output::Block(call))])
}

fn coil(logic: Network, var: &str) -> Rung {
    rung(logic, Output::Coil { var: var.into() })
}

struct Run {
    compiled: Compiled,
    memory: Memory,
}

impl Run {
    fn new(program: &Program) -> Run {
        let compiled = compile(program, PERIOD_MS);
        let memory = compiled.cold_start();
        Run { compiled, memory }
    }

    fn scan(&mut self, inputs: u64) -> &mut Self {
        self.compiled.scan(&mut self.memory, inputs);
        self
    }

    fn bit(&self, name: &str) -> u8 {
        u8::from(self.compiled.value(&self.memory, name).unwrap_or_else(|| panic!("there is no {name}")))
    }

    fn number(&self, name: &str) -> i32 {
        self.compiled.number(&self.memory, name).unwrap_or_else(|| panic!("there is no {name}"))
    }

    /// The bit after each scan with these inputs.
    fn bits(&mut self, name: &str, inputs: &[u64]) -> Vec<u8> {
        inputs.iter().map(|inputs| self.scan(*inputs).bit(name)).collect()
    }

    /// Q and ET of `x` after each scan.
    fn timer(&mut self, inputs: &[u64]) -> Vec<(u8, i32)> {
        let figures = |run: &Run| run.compiled.figures(&run.memory, "X").unwrap();
        inputs.iter().map(|inputs| (self.scan(*inputs).bit("x.Q"), figures(self).value)).collect()
    }

    /// CV of `x` after each scan.
    fn counts(&mut self, inputs: &[u64]) -> Vec<i32> {
        inputs.iter().map(|inputs| self.scan(*inputs).number("x.cv")).collect()
    }
}

#[test]
fn tof_keeps_on_for_its_time_after_in() {
    let mut run = Run::new(&block(Block::Tof, Some(Constant::Time(11))));
    // At rest it is 0; 1 with IN; from the scan in which IN is 0, 11 ms are up at the third further scan. ET stays.
    assert_eq!(
        run.timer(&[0, 0, 1, 1, 0, 0, 0, 0, 0, 1]),
        [(0, 0), (0, 0), (1, 0), (1, 0), (1, 0), (1, 5), (1, 10), (0, 11), (0, 11), (1, 0)]
    );
    // IN again before the time is up: it starts anew.
    assert_eq!(run.timer(&[0, 0, 1, 0, 0]), [(1, 0), (1, 5), (1, 0), (1, 0), (1, 5)]);
    // No time at all: as IN.
    let mut run = Run::new(&block(Block::Tof, Some(Constant::Time(0))));
    assert_eq!(run.timer(&[1, 0, 0, 1]), [(1, 0), (0, 0), (0, 0), (1, 0)]);
}

#[test]
fn tp_is_on_for_its_time_whatever_in_does() {
    let mut run = Run::new(&block(Block::Tp, Some(Constant::Time(15))));
    // IN is let go and comes again meanwhile: neither shortens nor lengthens it. With IN at 1 ET stays at PT until it is 0.
    assert_eq!(
        run.timer(&[0, 1, 0, 1, 1, 1, 0, 0]),
        [(0, 0), (1, 0), (1, 5), (1, 10), (0, 15), (0, 15), (0, 0), (0, 0)]
    );
    // IN at 0 when the time is up: ready at once; the next rising edge starts it.
    assert_eq!(
        run.timer(&[1, 0, 0, 0, 1, 0, 0, 0]),
        [(1, 0), (1, 5), (1, 10), (0, 0), (1, 0), (1, 5), (1, 10), (0, 0)]
    );
    let mut run = Run::new(&block(Block::Tp, Some(Constant::Time(0))));
    assert_eq!(run.timer(&[1, 1, 0, 1]), [(0, 0), (0, 0), (0, 0), (0, 0)]);
}

#[test]
fn ctu_counts_rising_edges_up_and_r_is_dominant() {
    const CU: u64 = 1;
    const R: u64 = 2;
    let program = block(Block::Ctu, Some(Constant::Count(2)));
    let mut run = Run::new(&program);
    assert_eq!(run.counts(&[CU, CU, 0, CU, 0]), [1, 1, 1, 2, 2]);
    assert_eq!(run.bit("x.Q"), 1);
    // An edge under R counts nothing, nor is it one afterwards.
    assert_eq!(run.counts(&[R | CU, CU, 0, CU]), [0, 0, 0, 1]);
    assert_eq!((run.bit("x.Q"), run.bit("x.CU"), run.bit("x.R")), (0, 1, 0));
    // CU held at the start is an edge, as with R_TRIG.
    assert_eq!(Run::new(&program).counts(&[CU]), [1]);
    // PV of 0 is reached at once, and by the call only.
    let mut run = Run::new(&block(Block::Ctu, Some(Constant::Count(0))));
    assert_eq!((run.bit("x.Q"), run.scan(0).bit("x.Q")), (0, 1));
}

#[test]
fn counters_stop_at_the_limits_of_int() {
    let mut run = Run::new(&block(Block::Ctu, Some(Constant::Count(i16::MAX))));
    for _ in 0..32_768 {
        run.scan(0).scan(1);
    }
    assert_eq!(run.compiled.figures(&run.memory, "x"), Some(Figures { value: 32_767, preset: 32_767 }));
    assert_eq!(run.bit("x.Q"), 1);
    let mut run = Run::new(&block(Block::Ctd, Some(Constant::Count(0))));
    for _ in 0..32_769 {
        run.scan(0).scan(1);
    }
    assert_eq!((run.compiled.number(&run.memory, "X.CV"), run.bit("x.Q")), (Some(-32_768), 1));
}

#[test]
fn ctd_counts_down_from_what_is_loaded() {
    const CD: u64 = 1;
    const LD: u64 = 2;
    let mut run = Run::new(&block(Block::Ctd, Some(Constant::Count(2))));
    // Not loaded: CV is 0 and so Q is 1 once it is called.
    assert_eq!(run.bits("x.Q", &[0, LD, 0, CD, 0, CD]), [1, 0, 0, 0, 0, 1]);
    assert_eq!(run.counts(&[0, CD, LD | CD, CD, 0, CD]), [0, -1, 2, 2, 2, 1]);
}

#[test]
fn ctud_has_r_over_ld_over_counting_and_two_edges_count_nothing() {
    const CU: u64 = 1;
    const CD: u64 = 2;
    const R: u64 = 4;
    const LD: u64 = 8;
    let mut run = Run::new(&block(Block::Ctud, Some(Constant::Count(2))));
    assert_eq!(run.counts(&[CU, 0, CU | CD, 0, CU, CU | CD]), [1, 1, 1, 1, 2, 1]);
    assert_eq!((run.bit("x.QU"), run.bit("x.QD")), (0, 0));
    assert_eq!(run.counts(&[LD | CD, R | LD, 0, CD]), [2, 0, 0, -1]);
    assert_eq!((run.bit("x.QU"), run.bit("x.QD")), (0, 1));
    assert_eq!(run.counts(&[LD]), [2]);
    assert_eq!((run.bit("x.QU"), run.bit("x.QD")), (1, 0));
}

/// Q1 after one call for set, reset and Q1 before: SR: Q1 := S1 OR (NOT R AND Q1); RS: Q1 := NOT R1 AND (S OR Q1).
#[test]
fn bistables_by_their_truth_tables() {
    const S: u64 = 1;
    const R: u64 = 2;
    let mut sr = Run::new(&block(Block::Sr, None));
    assert_eq!(sr.bits("x.Q1", &[0, S, 0, R, 0, S | R, 0, R, R]), [0, 1, 1, 0, 0, 1, 1, 0, 0]);
    let mut rs = Run::new(&block(Block::Rs, None));
    assert_eq!(rs.bits("x.Q1", &[0, S, 0, R, 0, S | R, S, S | R, R]), [0, 1, 1, 0, 0, 0, 1, 0, 0]);
    assert_eq!((rs.bit("x.S"), rs.bit("X.r1"), sr.bit("x.S1"), sr.bit("x.R")), (0, 1, 0, 1));
}

/// R_TRIG: Q := CLK AND NOT M; M := CLK. F_TRIG: Q := NOT CLK AND NOT M; M := NOT CLK. M is 0 after a cold restart.
#[test]
fn edge_blocks_contacts_and_coils_are_one_law() {
    let rising = [0, 1, 1, 0, 1];
    let held = [1, 1, 0, 0, 1];
    let contact = |test| program(vec![coil(Network::bit("a", test), "q")]);
    let output = |output| program(vec![rung(Network::open("a"), output)]);
    let q = || "q".to_owned();
    for (program, name) in [
        (block(Block::RTrig, None), "x.Q"),
        (contact(Test::Rising), "q"),
        (output(Output::Rising { var: q() }), "q"),
    ] {
        assert_eq!(Run::new(&program).bits(name, &rising), [0, 1, 0, 0, 1]);
        assert_eq!(Run::new(&program).bits(name, &held), [1, 0, 0, 0, 1]);
    }
    for (program, name) in [
        (block(Block::FTrig, None), "x.Q"),
        (contact(Test::Falling), "q"),
        (output(Output::Falling { var: q() }), "q"),
    ] {
        // In the first scan of all a bit at 0 counts as fallen.
        assert_eq!(Run::new(&program).bits(name, &rising), [1, 0, 0, 1, 0]);
        assert_eq!(Run::new(&program).bits(name, &held), [0, 0, 1, 0, 0]);
    }
}

/// What stands before an edge contact does not keep it from being evaluated: its memory follows the bit.
#[test]
fn an_edge_contact_behind_an_open_one_still_sees_the_edge() {
    let logic = Network::Series(vec![Network::open("b"), Network::bit("a", Test::Rising)]);
    let program = program(vec![coil(logic, "q")]);
    let contact = Contact::Bit { var: "a".into(), test: Test::Rising };
    let mut run = Run::new(&program);
    // a rises while b is 0; b comes later: no edge any more.
    assert_eq!(run.bits("q", &[0b01, 0b11, 0b00, 0b11]), [0, 0, 0, 1]);
    assert!(run.compiled.passes(&run.memory, 0, 1, &contact));
    run.scan(0b01);
    assert!(!run.compiled.passes(&run.memory, 0, 1, &contact));
    // It tells what it did even where the rung did not pass.
    run.scan(0b00).scan(0b01);
    assert!(run.compiled.passes(&run.memory, 0, 1, &contact));
    assert_eq!(run.bit("q"), 0);
}

/// A rung reads the bits as they are before its own output is written.
#[test]
fn an_edge_of_the_rungs_own_coil_is_that_of_the_scan_before() {
    let toggle = Network::Parallel(vec![
        Network::Series(vec![Network::bit("a", Test::Rising), Network::closed("q")]),
        Network::Series(vec![Network::closed("r"), Network::open("q")]),
    ]);
    let program = program(vec![coil(Network::bit("q", Test::Rising), "r"), coil(toggle, "q")]);
    let mut run = Run::new(&program);
    assert_eq!(run.bits("q", &[1, 1, 1, 0]), [1, 0, 0, 0]);
    assert_eq!(run.bits("r", &[1, 1, 1]), [0, 1, 0]);
}

#[test]
fn a_block_reads_its_own_pins_as_they_were() {
    // R of the counter is its own Q: it starts anew in the scan after it was reached.
    let call = Call {
        instance: "x".into(),
        block: Block::Ctu,
        further: vec![Some(Network::open("x.Q"))],
        preset: Some(Constant::Count(2)),
    };
    let mut run = Run::new(&program(vec![rung(Network::open("a"), Output::Block(call))]));
    assert_eq!(run.counts(&[1, 0, 1, 0, 1]), [1, 1, 2, 0, 1]);
    // Reset of a bistable by its own set pin: the one of the scan before.
    let call = Call {
        instance: "x".into(),
        block: Block::Rs,
        further: vec![Some(Network::open("x.S"))],
        preset: None,
    };
    let mut run = Run::new(&program(vec![rung(Network::open("a"), Output::Block(call))]));
    assert_eq!(run.bits("x.Q1", &[1, 1, 0, 1]), [1, 0, 0, 1]);
}

#[test]
fn an_input_left_open_is_0() {
    let call =
        Call { instance: "x".into(), block: Block::Ctud, further: vec![None, None, None], preset: None };
    let call = Call { preset: Some(Constant::Count(1)), ..call };
    let mut run = Run::new(&program(vec![rung(Network::open("a"), Output::Block(call))]));
    assert_eq!(run.counts(&[1, 0, 1]), [1, 1, 2]);
    assert_eq!((run.bit("x.QU"), run.bit("x.CD"), run.bit("x.LD")), (1, 0, 0));
}

fn compare(value: &str, relation: Relation, with: Operand) -> Network {
    Network::Contact(Contact::Compare(Comparison { value: value.into(), relation, with }))
}

#[test]
fn comparisons_of_counts_durations_and_values() {
    let count = |n| Operand::Constant(Constant::Count(n));
    let time = |ms| Operand::Constant(Constant::Time(ms));
    let call = |instance: &str, block, preset| {
        let further = vec![None; block_inputs(block)];
        rung(Network::open("a"), Output::Block(Call { instance: instance.into(), block, further, preset }))
    };
    let mut rungs = vec![
        call("x", Block::Ctud, Some(Constant::Count(2))),
        call("y", Block::Ctu, Some(Constant::Count(9))),
        call("t", Block::Ton, Some(Constant::Time(12))),
    ];
    let wanted = [
        // After a was 0, 1, 0, 1, 1, 1, 1: CV is 2, ET 12.
        (compare("x.CV", Relation::AtLeast, count(2)), 1),
        (compare("x.CV", Relation::Greater, count(2)), 0),
        (compare("x.CV", Relation::Less, count(-1)), 0),
        (compare("x.CV", Relation::NotEqual, count(2)), 0),
        (compare("X.cv", Relation::Equal, Operand::Value("y.CV".into())), 1),
        (compare("x.CV", Relation::Equal, Operand::Value("x.PV".into())), 1),
        (compare("y.CV", Relation::AtMost, count(1)), 0),
        (compare("t.ET", Relation::Equal, time(12)), 1),
        (compare("t.ET", Relation::Greater, time(12)), 0),
        (compare("t.ET", Relation::Less, Operand::Value("t.PT".into())), 0),
        // A count is no duration, and there is no z.
        (compare("x.CV", Relation::NotEqual, time(9)), 0),
        (compare("z.CV", Relation::NotEqual, count(9)), 0),
    ];
    for (k, (logic, _)) in wanted.iter().enumerate() {
        rungs.push(coil(logic.clone(), &format!("q{k}")));
    }
    let program = program(rungs);
    let mut run = Run::new(&program);
    for inputs in [0, 1, 0, 1, 1, 1, 1] {
        run.scan(inputs);
    }
    for (k, (logic, wanted)) in wanted.iter().enumerate() {
        assert_eq!(run.bit(&format!("q{k}")), *wanted, "{logic:?}");
        let Network::Contact(contact) = logic else { unreachable!() };
        assert_eq!(
            u8::from(run.compiled.passes(&run.memory, 3 + k as u32, 0, contact)),
            *wanted,
            "{logic:?}"
        );
    }
    assert_eq!(run.compiled.number(&run.memory, "t.Q"), None);
}

fn block_inputs(block: Block) -> usize {
    block.inputs().len() - 1
}

/// A comparison above the call sees the value of the scan before, one below it that of this scan.
#[test]
fn a_comparison_reads_the_value_where_it_stands() {
    let reached = || compare("x.CV", Relation::AtLeast, Operand::Constant(Constant::Count(1)));
    let call = Call {
        instance: "x".into(),
        block: Block::Ctu,
        further: vec![None],
        preset: Some(Constant::Count(9)),
    };
    let logic = Network::open("a");
    let mut run = Run::new(&program(vec![
        coil(reached(), "early"),
        rung(logic, Output::Block(call)),
        coil(reached(), "late"),
    ]));
    assert_eq!((run.scan(1).bit("early"), run.bit("late")), (0, 1));
    assert_eq!((run.scan(1).bit("early"), run.bit("late")), (1, 1));
}

#[test]
fn the_first_scan_is_told_and_cannot_be_written() {
    let mut rungs = vec![coil(Network::open("First_Scan"), "q"), coil(Network::True, "First_Scan")];
    rungs.push(rung(Network::open("First_Scan"), Output::Set { var: "kept".into() }));
    let mut program = program(rungs);
    program.vars.iter_mut().find(|var| var.name == "kept").unwrap().retain = true;
    let mut run = Run::new(&program);
    assert_eq!(run.bits("q", &[0, 0, 0]), [1, 0, 0]);
    assert_eq!(run.compiled.value(&run.memory, FIRST_SCAN), Some(false));
    // From stop to run everything stays but the flag; a program transfer is no restart.
    run.memory = run.compiled.hot_start(&run.memory);
    assert_eq!(run.bits("q", &[0, 0]), [1, 0]);
    run.memory = run.compiled.warm_start(&run.memory);
    assert_eq!((run.bit("kept"), run.bits("q", &[0, 0])), (1, vec![1, 0]));
    run.memory = run.compiled.carry(&run.compiled, &run.memory);
    assert_eq!(run.bits("q", &[0]), [0]);
    // With an address it is a variable as any other.
    program.vars.iter_mut().find(|var| var.name == "First_Scan").unwrap().address =
        Some(Address { area: Area::Memory, byte: 0, bit: 0 });
    assert_eq!(Run::new(&program).bits("q", &[0, 0]), [0, 1]);
}

/// What an edge remembers goes with its bit, its sort and its number through a transfer, and is initial after a restart.
#[test]
fn edges_through_transfer_and_restarts() {
    let two = |names: [&str; 2]| names.map(|name| coil(Network::bit("a", Test::Rising), name)).to_vec();
    let old = compile(&program(two(["p", "q"])), PERIOD_MS);
    let mut memory = old.cold_start();
    old.scan(&mut memory, 1);
    assert_eq!(old.carry(&old, &memory), memory);
    // A rung before, and a third edge of the same bit, which has not seen anything yet.
    let mut rungs = two(["p", "q"]);
    rungs.insert(0, coil(Network::bit("a", Test::Falling), "s"));
    rungs.push(coil(Network::bit("a", Test::Rising), "r"));
    rungs.push(rung(Network::open("a"), Output::Rising { var: "u".into() }));
    let mut run = Run::new(&program(rungs));
    run.memory = run.compiled.carry(&old, &memory);
    run.scan(1);
    assert_eq!(["p", "q", "r", "s", "u"].map(|name| run.bit(name)), [0, 0, 1, 0, 1]);
    // After a warm restart a held bit is an edge again.
    run.memory = run.compiled.warm_start(&run.memory);
    assert_eq!((run.scan(1).bit("p"), run.scan(1).bit("p")), (1, 0));
}

#[test]
fn blocks_through_transfer_and_restarts() {
    for (kind, preset, q) in [
        (Block::Ctu, Some(Constant::Count(1)), "x.Q"),
        (Block::Tof, Some(Constant::Time(50)), "x.Q"),
        (Block::Tp, Some(Constant::Time(50)), "x.Q"),
        (Block::Sr, None, "x.Q1"),
        (Block::FTrig, None, "x.CLK"),
    ] {
        let mut program = block(kind, preset);
        let old = compile(&program, PERIOD_MS);
        let mut memory = old.cold_start();
        old.scan(&mut memory, 1);
        assert_eq!(old.value(&memory, q), Some(true), "{kind:?}");
        assert_eq!(old.carry(&old, &memory), memory, "{kind:?}");
        assert_eq!(old.warm_start(&memory), old.cold_start(), "{kind:?}");
        program.vars.iter_mut().for_each(|var| var.retain = true);
        let kept = compile(&program, PERIOD_MS);
        assert_eq!(kept.warm_start(&memory), memory, "{kind:?}");
    }
    // A pulse whose new time is over by now has ended; one that goes on has its rest of it.
    let old = compile(&block(Block::Tp, Some(Constant::Time(100))), PERIOD_MS);
    let mut memory = old.cold_start();
    for _ in 0..5 {
        old.scan(&mut memory, 1);
    }
    let mut run = Run::new(&block(Block::Tp, Some(Constant::Time(10))));
    run.memory = run.compiled.carry(&old, &memory);
    assert_eq!((run.bit("x.Q"), run.timer(&[1, 0, 1])), (0, vec![(0, 10), (0, 0), (1, 0)]));
    let mut run = Run::new(&block(Block::Tp, Some(Constant::Time(30))));
    run.memory = run.compiled.carry(&old, &memory);
    assert_eq!((run.bit("x.Q"), run.timer(&[0, 0])), (1, vec![(1, 25), (0, 0)]));
}

/// Nothing goes on by itself once no timer runs and no edge has just passed; then a scan gives back its memory.
#[test]
fn quiet_and_unchanged_is_a_fixed_point() {
    let quiet = |program: &Program, inputs: &[u64]| {
        let mut run = Run::new(program);
        inputs
            .iter()
            .map(|inputs| {
                run.scan(*inputs);
                run.compiled.quiet(&run.memory)
            })
            .collect::<Vec<_>>()
    };
    let time = Some(Constant::Time(10));
    assert_eq!(quiet(&block(Block::Tof, time), &[0, 1, 1, 0, 0, 0]), [true, true, true, false, false, true]);
    assert_eq!(quiet(&block(Block::Tp, time), &[0, 1, 0, 0, 0]), [true, false, false, true, true]);
    assert_eq!(quiet(&block(Block::Ctu, Some(Constant::Count(3))), &[0, 1, 1]), [true; 3]);
    assert_eq!(quiet(&block(Block::RTrig, None), &[0, 1, 1, 0]), [true, false, true, true]);
    assert_eq!(quiet(&block(Block::FTrig, None), &[0, 0, 1, 0, 0]), [false, true, true, false, true]);
    let contact = program(vec![coil(Network::bit("a", Test::Rising), "q")]);
    assert_eq!(quiet(&contact, &[0, 1, 1]), [true, false, true]);
    let first = program(vec![coil(Network::open(FIRST_SCAN), "q")]);
    assert_eq!(quiet(&first, &[0, 0]), [false, true]);
}
