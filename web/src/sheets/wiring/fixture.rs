//! The paddle panel as parts and conductors, for the tests of this sheet.

use super::drawing::Drawing;
use super::propose::Job;
use super::wanted::Wanted;
use sealin_core::part::*;
use sealin_core::plan::{Conductor, Insulation, Terminal};

/// A terminal from its text.
pub fn t(text: &str) -> Terminal {
    Terminal::parse(text).unwrap()
}

/// A dark-blue conductor of 0.75 mm².
pub fn wire(id: &str, from: &str, to: &str, number: &str) -> Conductor {
    coloured(id, from, to, number, Insulation::DarkBlue, 75)
}

fn coloured(
    id: &str,
    from: &str,
    to: &str,
    number: &str,
    colour: Insulation,
    section_mm2_x100: u32,
) -> Conductor {
    let number = if number == "-" { "" } else { number };
    Conductor { id: id.into(), from: t(from), to: t(to), section_mm2_x100, colour, number: number.into() }
}

/// Parts and given conductors of paddle-panel.md sections 1 and 3.
pub fn paddle() -> (Vec<Part>, Vec<Conductor>) {
    (parts(), given())
}

/// What the learner adds, paddle-panel.md section 5.
pub fn learners() -> Vec<Conductor> {
    vec![
        wire("L1", "XD4:7", "QA1:13", "201"),
        wire("L2", "QA1:13", "QA2:13", "201"),
        wire("L3", "QA2:13", "FC1:97", "201"),
        wire("L4", "QA1:14", "KF1:I4", "213"),
        wire("L5", "QA2:14", "KF1:I5", "214"),
        wire("L6", "FC1:98", "KF1:I6", "215"),
        wire("L7", "XD5:6", "KF1:CI2", "299"),
        wire("L8", "XD4:9", "KF1:CQ2", "202"),
        wire("L9", "KF1:Q4", "XD2:5", "220"),
    ]
}

/// The I/O list, and two of the conductors to be made.
pub fn job() -> Job {
    let io = ["KF1:I0", "KF1:I1", "KF1:I2", "KF1:I4", "KF1:I5", "KF1:I6", "KF1:Q0", "KF1:Q1", "KF1:Q4"];
    Job { io_list: io.map(t).to_vec(), ..Job::default() }
}

/// The paddle panel with conductors of the learner's own; all of those above are asked for.
pub fn drawing(own: Vec<Conductor>) -> Drawing {
    let (parts, given) = paddle();
    let ids = given.iter().map(|c| c.id.clone()).collect();
    let wanted = |c: &Conductor| Wanted {
        number: c.number.clone(),
        from: c.from.clone(),
        purpose: String::new(),
        done: false,
    };
    let wanted = learners().iter().map(wanted).collect();
    Drawing::new(parts, given.into_iter().chain(own).collect(), ids, &[], job(), wanted)
}

fn part(tag: &str, function: &str, place: Place, kind: Kind) -> Part {
    Part { tag: tag.into(), function: function.into(), place, kind }
}

fn strip(tag: &str, function: &str, place: Place, terminals: &[&str], bridges: &[&[&str]]) -> Part {
    let own = |all: &[&str]| all.iter().map(|n| n.to_string()).collect::<Vec<_>>();
    let kind =
        Kind::Strip(Strip { terminals: own(terminals), bridges: bridges.iter().map(|b| own(b)).collect() });
    part(tag, function, place, kind)
}

fn group<C: Default>(common: &str, area: char, from: u8) -> Group<C> {
    let channels = (from..from + 4).map(|n| format!("{area}{n}")).collect();
    Group { common: common.into(), channels, circuit: C::default() }
}

fn parts() -> Vec<Part> {
    use Place::{Field, Panel, Station};
    let gear = |tag, function, poles, protection| {
        part(
            tag,
            function,
            Panel,
            Kind::Switchgear(Switchgear { poles, protection, auxiliaries: Vec::new() }),
        )
    };
    let contactor = |tag, function, other: &str| {
        let kind = Kind::Contactor(Contactor {
            mirror: true,
            interlocked_with: Some(other.into()),
            ..Contactor::default()
        });
        part(tag, function, Panel, kind)
    };
    let button = |tag, function, form, colour| {
        part(tag, function, Station, Kind::Control(Control::button(form, colour)))
    };
    let breaker = |rated_ma, magnetic| Protection::Breaker { rated_ma, magnetic };
    vec![
        part(
            "XD0",
            "supply",
            Field,
            Kind::Supply(Supply {
                reversed: false,
                line_voltage_mv: 400_000,
                frequency_mhz: 50_000,
                fault_current_ma: 6_000_000,
            }),
        ),
        gear("QB1", "supply disconnector", 3, Protection::None),
        gear("FC2", "motor circuit", 3, Protection::FuseGg { rated_ma: 25_000 }),
        gear("FC3", "transformer primary", 2, breaker(1_000, 20)),
        part(
            "TA1",
            "control transformer",
            Panel,
            Kind::Transformer(Transformer {
                names: Default::default(),
                primary_mv: 400_000,
                secondary_mv: 230_000,
                rated_mva: 100_000,
                impedance_permille: 60,
            }),
        ),
        gear("FC4", "coil circuit", 1, breaker(500, 10)),
        gear("FC5", "DC supply primary", 2, breaker(2_000, 10)),
        part(
            "TB1",
            "DC supply",
            Panel,
            Kind::DcSupply(DcSupply {
                input_mv: 400_000,
                output_mv: 24_000,
                limit_ma: 3_750,
                hold_up_ms: 200,
                start_up_ms: 500,
            }),
        ),
        gear("FC6", "field +24 V", 1, Protection::FuseFast { rated_ma: 1_000 }),
        gear("FC7", "24 V outputs", 1, Protection::FuseFast { rated_ma: 500 }),
        part(
            "KF1",
            "controller",
            Panel,
            Kind::Controller(Controller {
                inputs: vec![group("CI1", 'I', 0), group("CI2", 'I', 4)],
                outputs: vec![group("CQ1", 'Q', 0), group("CQ2", 'Q', 4)],
                scan_ms: 5,
                filter_ms: 3,
                start_up_ms: 300,
                watchdog_ms: Controller::WATCHDOG_MS,
                contact_ns: Controller::CONTACT_NS,
            }),
        ),
        contactor("QA1", "raise", "QA2"),
        contactor("QA2", "lower", "QA1"),
        part(
            "FC1",
            "motor overload",
            Panel,
            Kind::Overload(Overload {
                class: TripClass::C10,
                dial_ma: 8_200,
                dial_min_ma: 7_000,
                dial_max_ma: 10_000,
                phase_loss_sensitive: true,
                reset: Default::default(),
                uncompensated_at_c: None,
            }),
        ),
        button("SF1", "stop", Form::Break, Colour::Black),
        button("SF2", "raise", Form::Make, Colour::White),
        button("SF3", "lower", Form::Make, Colour::White),
        part(
            "PF1",
            "overload",
            Station,
            Kind::Lamp(Lamp { rated_mv: 24_000, resistance_mohm: 1_200_000, colour: Colour::Yellow }),
        ),
        part(
            "MA1",
            "paddle gear",
            Field,
            Kind::Motor(Motor {
                model: MotorModel::Kw4At400V,
                rated_ma: 8_200,
                load_inertia_kgmm2: 10_000,
                load_friction_mnm: 5_000,
                machine: Machine::default(),
            }),
        ),
        strip("XD1", "motor", Panel, &["U", "V", "W", "PE"], &[]),
        strip("XD2", "operator station", Panel, &["1", "2", "3", "4", "5", "6", "PE"], &[]),
        strip("XD3", "230 V control", Panel, &["1", "2", "3", "4"], &[&["3", "4"]]),
        strip(
            "XD4",
            "+24 V",
            Panel,
            &["1", "2", "3", "4", "5", "6", "7", "8", "9", "10"],
            &[&["1", "2", "3", "4"], &["5", "6", "7", "8"], &["9", "10"]],
        ),
        strip(
            "XD5",
            "0 V",
            Panel,
            &["1", "2", "3", "4", "5", "6", "7", "8"],
            &[&["1", "2", "3", "4", "5", "6", "7", "8"]],
        ),
        strip(
            "XE1",
            "PE bar",
            Panel,
            &["1", "2", "3", "4", "5", "6", "7", "8", "9", "10"],
            &[&["1", "2", "3", "4", "5", "6", "7", "8", "9", "10"]],
        ),
        strip("UC1", "cabinet: mounting plate and door", Panel, &["plate", "door"], &[]),
        strip("UC2", "enclosure of the operator station", Station, &["PE"], &[]),
    ]
}

fn given() -> Vec<Conductor> {
    use Insulation::{Black, DarkBlue, GreenYellow, Red};
    const POWER: &str = "
        P01 XD0:L1 QB1:1 600 L1|P02 XD0:L2 QB1:3 600 L2|P03 XD0:L3 QB1:5 600 L3
        P04 QB1:2 FC2:1 600 1L1|P05 QB1:4 FC2:3 600 1L2|P06 QB1:6 FC2:5 600 1L3
        P07 FC2:2 QA1:1 250 2L1|P08 FC2:4 QA1:3 250 2L2|P09 FC2:6 QA1:5 250 2L3
        P10 QA1:1 QA2:1 250 2L1|P11 QA1:3 QA2:3 250 2L2|P12 QA1:5 QA2:5 250 2L3
        P13 QA1:2 FC1:1 250 3U|P14 QA1:4 FC1:3 250 3V|P15 QA1:6 FC1:5 250 3W
        P16 QA2:2 QA1:6 250 3W|P17 QA2:4 QA1:4 250 3V|P18 QA2:6 QA1:2 250 3U
        P19 FC1:2 XD1:U 250 4U|P20 FC1:4 XD1:V 250 4V|P21 FC1:6 XD1:W 250 4W
        P22 XD1:U MA1:U1 250 4U|P23 XD1:V MA1:V1 250 4V|P24 XD1:W MA1:W1 250 4W
        P25 QB1:2 FC3:1 250 1L1|P26 QB1:4 FC3:3 250 1L2
        P27 FC3:1 FC5:1 250 1L1|P28 FC3:3 FC5:3 250 1L2
        P29 FC3:2 TA1:1U 100 5L1|P30 FC3:4 TA1:1V 100 5L2
        P31 FC5:2 TB1:L1 100 6L1|P32 FC5:4 TB1:L2 100 6L2";
    const EARTH: &str = "
        E01 XD0:PE XE1:1 600 PE|E02 XE1:2 UC1:plate 600 PE|E03 XE1:3 UC1:door 600 PE
        E04 XE1:4 XD1:PE 250 PE|E05 XD1:PE MA1:PE 250 PE
        E06 XE1:5 XD2:PE 100 PE|E07 XD2:PE UC2:PE 100 PE
        E08 XE1:6 TA1:PE 150 PE|E09 XE1:7 TB1:PE 150 PE|E10 XE1:8 KF1:PE 150 PE";
    const CONTROL: &str = "
        C01 TA1:2U FC4:1 100 100|C02 FC4:2 XD3:1 100 101|C03 XD3:1 XD3:2 100 -
        C04 XD3:2 FC1:95 100 102|C05 FC1:96 KF1:CQ1 100 103
        C06 KF1:Q0 QA2:21 100 110|C07 QA2:22 QA1:A1 100 111
        C08 KF1:Q1 QA1:21 100 120|C09 QA1:22 QA2:A1 100 121
        C10 QA1:A2 QA2:A2 100 199|C11 QA2:A2 XD3:3 100 199|C12 XD3:3 TA1:2V 100 199
        C13 XD3:4 XE1:9 100 199";
    const DC: &str = "
        D01 TB1:+ XD4:1 75 200|D02 XD4:2 KF1:L+ 75 200|D03 XD4:3 FC6:1 75 200|D04 XD4:4 FC7:1 75 200
        D05 FC6:2 XD4:6 75 201|D06 XD4:5 XD2:1 75 201|D07 FC7:2 XD4:10 75 202
        D08 TB1:- XD5:1 75 299|D09 XD5:2 KF1:L- 75 299|D10 XD5:3 KF1:CI1 75 299|D11 XD5:4 XD2:6 75 299
        D12 XD2:2 KF1:I0 75 210|D13 XD2:3 KF1:I1 75 211|D14 XD2:4 KF1:I2 75 212
        D15 XD5:8 XE1:10 75 299
        S01 XD2:1 SF1:11 75 201|S02 SF1:11 SF2:13 75 201|S03 SF2:13 SF3:13 75 201
        S04 SF1:12 XD2:2 75 210|S05 SF2:14 XD2:3 75 211|S06 SF3:14 XD2:4 75 212
        S07 PF1:X1 XD2:5 75 220|S08 PF1:X2 XD2:6 75 299";
    let mut all = Vec::new();
    for (table, colour) in [(POWER, Black), (EARTH, GreenYellow), (CONTROL, Red), (DC, DarkBlue)] {
        for row in table.split(['|', '\n']).map(str::trim).filter(|row| !row.is_empty()) {
            let [id, from, to, section, number] = row.split_whitespace().collect::<Vec<_>>()[..] else {
                panic!("five words in `{row}`")
            };
            all.push(coloured(id, from, to, number, colour, section.parse().unwrap()));
        }
    }
    all
}

#[test]
fn the_list_is_whole() {
    let (parts, given) = paddle();
    assert_eq!(given.len(), 32 + 10 + 13 + 23);
    for c in given.iter().chain(&learners()) {
        for end in [&c.from, &c.to] {
            let part = parts.iter().find(|p| p.tag == end.part).unwrap();
            assert!(part.terminals().contains(&end.name), "{end}");
        }
    }
}
