//! What is written on the rating plate of a device, in words.

use super::quantity::{milliseconds, thousandths};
use crate::store::model::*;
use crate::t;

/// What is on the plate of a part: what the author wrote goes before what the model is fed with.
pub fn plate(scenario: &Scenario, part: &Part) -> String {
    let written = scenario.label(&part.tag).map(|label| label.rating.clone());
    written.filter(|text| !text.is_empty()).unwrap_or_else(|| rating(part))
}

/// The rated values of a part, one line.
pub fn rating(part: &Part) -> String {
    match &part.kind {
        Kind::Supply(supply) => t!(
            "device-supply",
            volts = thousandths(supply.line_voltage_mv.into(), "V"),
            hertz = thousandths(supply.frequency_mhz.into(), "Hz"),
            short = thousandths(u64::from(supply.fault_current_ma) / 1000, "kA"),
        ),
        Kind::Switchgear(gear) => switchgear(gear),
        Kind::Contactor(contactor) => {
            let size = (contactor.poles > 0)
                .then(|| t!("device-ac3", amperes = thousandths(contactor.rated_ma.into(), "A")));
            let mirror = contactor.mirror.then(|| t!("device-mirror").to_string());
            let linked = contactor.linked.then(|| t!("device-linked").to_string());
            let locked =
                contactor.interlocked_with.as_ref().map(|other| t!("device-interlocked", other = other));
            let all = [
                size,
                Some(coil(&contactor.coil)),
                contacts(&contactor.auxiliaries, Special::Overlap),
                mirror,
                linked,
                locked,
            ];
            all.into_iter().flatten().collect::<Vec<_>>().join("; ")
        }
        Kind::Relay(relay) => {
            let time = relay.timing.map(|timing| {
                let time = milliseconds(timing.setting_ms.into());
                match timing.function {
                    TimerFunction::OnDelay => t!("device-on-delay", time = time),
                    TimerFunction::OffDelay => t!("device-off-delay", time = time),
                }
            });
            let linked = relay.linked.then(|| t!("device-linked").to_string());
            let special = if relay.timing.is_some() { Special::Timed } else { Special::Overlap };
            let all = [time, Some(coil(&relay.coil)), contacts(&relay.contacts, special), linked];
            all.into_iter().flatten().collect::<Vec<_>>().join("; ")
        }
        Kind::Overload(overload) => t!(
            "device-overload",
            class = class_name(overload.class),
            low = thousandths(overload.dial_min_ma.into(), "A"),
            high = thousandths(overload.dial_max_ma.into(), "A"),
            dial = thousandths(overload.dial_ma.into(), "A"),
            reset = match overload.reset {
                Reset::Manual => t!("device-reset-manual"),
                Reset::Automatic => t!("device-reset-automatic"),
            },
        ),
        Kind::Transformer(transformer) => t!(
            "device-transformer",
            primary = thousandths(transformer.primary_mv.into(), "V"),
            secondary = thousandths(transformer.secondary_mv.into(), "V"),
            power = thousandths(transformer.rated_mva.into(), "VA"),
        ),
        Kind::DcSupply(supply) => t!(
            "device-dc-supply",
            input = thousandths(supply.input_mv.into(), "V"),
            output = thousandths(supply.output_mv.into(), "V"),
            limit = thousandths(supply.limit_ma.into(), "A"),
            hold = milliseconds(supply.hold_up_ms.into()),
        ),
        Kind::Controller(controller) => t!(
            "device-controller",
            scan = milliseconds(controller.scan_ms.into()),
            filter = milliseconds(controller.filter_ms.into()),
            inputs = groups(&controller.inputs, input_circuit),
            outputs = groups(&controller.outputs, output_circuit),
        ),
        Kind::Control(control) => {
            t!("device-control", colour = control.colour, contacts = control_contacts(control))
        }
        Kind::Lamp(lamp) => {
            t!("device-lamp", colour = lamp.colour, volts = thousandths(lamp.rated_mv.into(), "V"))
        }
        Kind::Motor(motor) => match motor.model {
            MotorModel::Kw4At400V => {
                t!("device-motor-4kw", amperes = thousandths(motor.rated_ma.into(), "A"))
            }
            MotorModel::Hp5At460V => {
                t!("device-motor-5hp", amperes = thousandths(motor.rated_ma.into(), "A"))
            }
            MotorModel::Figures(figures) => t!(
                "device-motor",
                power = thousandths(figures.power_w.into(), "kW"),
                volts = thousandths(figures.rated_mv.into(), "V"),
                frequency = thousandths(figures.frequency_mhz.into(), "Hz"),
                amperes = thousandths(motor.rated_ma.into(), "A"),
            ),
        },
        Kind::PositionSwitch(switch) => position_switch(switch),
        Kind::Brake(brake) => t!(
            "device-brake",
            volts = thousandths(brake.coil_mv.into(), "V"),
            current = if brake.dc { t!("device-dc") } else { t!("device-ac") },
            power = thousandths(brake.power_mw.into(), "W"),
            torque = thousandths(brake.torque_mnm.into(), "N·m"),
            release = milliseconds(brake.release_ms.into()),
            apply = milliseconds(brake.apply_ms.into()),
        ),
        Kind::Strip(strip) if strip.terminals.len() == 1 => t!("device-strip-one").into(),
        Kind::Strip(strip) => t!("device-strip", count = strip.terminals.len()),
    }
}

/// What the part is, in the words of the trade.
pub fn kind_name(part: &Part) -> &'static str {
    match &part.kind {
        Kind::Supply(_) => t!("device-kind-supply"),
        Kind::Switchgear(gear) => match gear.protection {
            Protection::None => t!("device-kind-switch"),
            Protection::FuseGg { .. } => t!("device-kind-fuse-switch"),
            Protection::FuseFast { .. } => t!("device-kind-fuse-terminal"),
            Protection::Breaker { .. } => t!("device-kind-breaker"),
            Protection::Motor { .. } => t!("device-kind-motor-breaker"),
        },
        Kind::Contactor(contactor) if contactor.poles == 0 => t!("device-kind-contactor-relay"),
        Kind::Contactor(_) => t!("device-kind-contactor"),
        Kind::Relay(relay) if relay.timing.is_some() => t!("device-kind-timer-relay"),
        Kind::Relay(_) => t!("device-kind-relay"),
        Kind::Overload(_) => t!("device-kind-overload"),
        Kind::Transformer(_) => t!("device-kind-transformer"),
        Kind::DcSupply(_) => t!("device-kind-dc-supply"),
        Kind::Controller(_) => t!("device-kind-controller"),
        Kind::Control(control) => match control.actuator {
            Actuator::Button => t!("device-kind-button"),
            Actuator::EmergencyStop => t!("device-kind-emergency-stop"),
            Actuator::Selector { .. } => t!("device-kind-selector"),
        },
        Kind::Lamp(_) => t!("device-kind-lamp"),
        Kind::Motor(_) => t!("device-kind-motor"),
        Kind::PositionSwitch(_) => t!("device-kind-position-switch"),
        Kind::Brake(_) => t!("device-kind-brake"),
        Kind::Strip(_) => t!("device-kind-strip"),
    }
}

/// What the part is and what it is for, without saying a word twice: `contactor, raise`.
pub fn kind_and_function(part: &Part) -> String {
    let (kind, function) = (kind_name(part), part.function.as_str());
    let told = kind.split([' ', '-']).filter(|word| word.len() > 3).any(|word| function.contains(word));
    match (function.is_empty(), told) {
        (true, _) => kind.to_string(),
        (false, true) => function.to_string(),
        (false, false) => format!("{kind}, {function}"),
    }
}

/// Where a part is mounted.
pub fn place_name(place: Place) -> &'static str {
    match place {
        Place::Panel => t!("device-place-panel"),
        Place::Station => t!("device-place-station"),
        Place::Field => t!("device-place-field"),
    }
}

fn switchgear(gear: &Switchgear) -> String {
    let poles = gear.poles;
    let amperes = |ma: u32| thousandths(ma.into(), "A");
    let rating: String = match gear.protection {
        Protection::None => t!("device-switch", poles = poles),
        Protection::FuseGg { rated_ma } => t!("device-fuse-gg", poles = poles, amperes = amperes(rated_ma)),
        Protection::FuseFast { rated_ma } => t!("device-fuse-fast", amperes = amperes(rated_ma)),
        Protection::Breaker { rated_ma, magnetic } => {
            let curve = match magnetic {
                0..=5 => "B",
                6..=10 => "C",
                _ => "D",
            };
            t!("device-breaker", poles = poles, amperes = amperes(rated_ma), curve = curve)
        }
        Protection::Motor { dial_ma, dial_min_ma, dial_max_ma } => t!(
            "device-motor-breaker",
            low = amperes(dial_min_ma),
            high = amperes(dial_max_ma),
            dial = amperes(dial_ma),
        ),
    };
    let all = [Some(rating), contacts(&gear.auxiliaries, Special::Trip)];
    all.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

fn position_switch(switch: &PositionSwitch) -> String {
    let one = |((a, b), form): ((String, String), &Form)| {
        let contact = format!("{a}-{b}");
        match form {
            Form::Make => t!("device-position-make", contact = contact),
            Form::Break if switch.positive_opening => t!("device-position-positive", contact = contact),
            Form::Break => t!("device-position-break", contact = contact),
        }
    };
    let contacts: Vec<String> = switch.contacts().into_iter().zip(&switch.contacts).map(one).collect();
    t!(
        "device-position-switch",
        contacts = contacts.join(", "),
        motor = switch.motor,
        from = thousandths(switch.from_um.into(), "mm"),
        to = thousandths(switch.to_um.into(), "mm"),
    )
}

fn coil(coil: &Coil) -> String {
    let volts = thousandths(coil.rated_mv.into(), "V");
    let rated = match coil.current {
        CoilCurrent::Ac => t!(
            "device-coil-ac",
            volts = volts,
            inrush = thousandths(coil.inrush_mva.into(), "VA"),
            sealed = thousandths(coil.sealed_mva.into(), "VA"),
        ),
        CoilCurrent::Dc => {
            t!("device-coil-dc", volts = volts, power = thousandths(coil.sealed_mva.into(), "W"))
        }
    };
    match coil.suppressor {
        Suppressor::None => rated,
        Suppressor::Rc => t!("device-with-rc", coil = rated),
        Suppressor::Varistor => t!("device-with-varistor", coil = rated),
        Suppressor::Diode => t!("device-with-diode", coil = rated),
    }
}

/// What the contacts with a special function of a device do.
#[derive(Clone, Copy)]
enum Special {
    /// They follow the time of a timer relay.
    Timed,
    /// The make contact is early, the break contact late.
    Overlap,
    /// They signal a trip.
    Trip,
}

/// `13-14 make, 21-22 break`; none without contacts.
fn contacts(all: &[Auxiliary], special: Special) -> Option<String> {
    let one = |auxiliary: &Auxiliary| {
        let kind = match auxiliary.function {
            AuxFunction::Make | AuxFunction::SpecialMake => t!("device-make"),
            AuxFunction::Break | AuxFunction::SpecialBreak => t!("device-break"),
            AuxFunction::Changeover | AuxFunction::SpecialChangeover => t!("device-changeover"),
        };
        match (auxiliary.function, special) {
            (function, _) if !function.special() => format!("{auxiliary} {kind}"),
            (_, Special::Timed) => t!("device-timed", contact = auxiliary, kind = kind),
            (_, Special::Trip) => t!("device-trip-signal", contact = auxiliary, kind = kind),
            (AuxFunction::SpecialMake, Special::Overlap) => {
                t!("device-early", contact = auxiliary, kind = kind)
            }
            (_, Special::Overlap) => t!("device-late", contact = auxiliary, kind = kind),
        }
    };
    (!all.is_empty()).then(|| all.iter().map(one).collect::<Vec<_>>().join(", "))
}

/// Name of a trip class.
pub fn class_name(class: TripClass) -> &'static str {
    match class {
        TripClass::C5 => "5",
        TripClass::C10A => "10A",
        TripClass::C10 => "10",
        TripClass::C20 => "20",
        TripClass::C30 => "30",
    }
}

/// `make contact 13-14, break contact 21-22`, or the positions in which a selector's contacts are closed.
fn control_contacts(control: &Control) -> String {
    let one = |contact: &ControlContact| {
        let pair = format!("{}-{}", contact.a, contact.b);
        match (control.is_pressed(), contact.form()) {
            (true, Some(Form::Make)) => t!("device-contact-make", pair = pair),
            (true, Some(Form::Break)) => t!("device-contact-break", pair = pair),
            _ => {
                let closed = (1..=control.positions()).filter(|&position| contact.closed(position));
                let closed: Vec<String> = closed.map(|position| position.to_string()).collect();
                t!("device-contact-positions", pair = pair, positions = closed.join(" "))
            }
        }
    };
    control.contacts.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn input_circuit(circuit: InputCircuit) -> &'static str {
    match (circuit.kind, circuit.current) {
        (InputType::Type1, Current::Sinking) => t!("device-input-1-sinking"),
        (InputType::Type1, Current::Sourcing) => t!("device-input-1-sourcing"),
        (InputType::Type3, Current::Sinking) => t!("device-input-3-sinking"),
        (InputType::Type3, Current::Sourcing) => t!("device-input-3-sourcing"),
    }
}

fn output_circuit(circuit: OutputCircuit) -> &'static str {
    match circuit {
        OutputCircuit::Relay => t!("device-output-relay"),
        OutputCircuit::Transistor => t!("device-output-transistor"),
    }
}

fn groups<C: Copy>(groups: &[Group<C>], circuit: impl Fn(C) -> &'static str) -> String {
    let one = |group: &Group<C>| match (group.channels.first(), group.channels.last()) {
        (Some(first), Some(last)) => t!(
            "device-group",
            first = first,
            last = last,
            common = group.common,
            circuit = circuit(group.circuit),
        ),
        _ => group.common.clone(),
    };
    groups.iter().map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(kind: Kind) -> Part {
        Part { tag: "X".into(), function: String::new(), place: Place::Panel, kind }
    }

    fn strip(count: usize) -> Part {
        let terminals = (1..=count).map(|number| number.to_string()).collect();
        part(Kind::Strip(Strip { terminals, bridges: Vec::new() }))
    }

    #[test]
    fn what_a_part_is_stands_once() {
        let mut part = part(Kind::Strip(Strip { terminals: Vec::new(), bridges: Vec::new() }));
        assert_eq!(kind_and_function(&part), "terminals");
        assert!(rating(&strip(1)).ends_with("terminal") && rating(&strip(2)).ends_with("terminals"));
        part.function = "motor".into();
        assert_eq!(kind_and_function(&part), "terminals, motor");
        part.function = "motor terminals".into();
        assert_eq!(kind_and_function(&part), "motor terminals");
    }

    #[test]
    fn what_sits_at_the_machine_is_told() {
        let switch = PositionSwitch {
            motor: "MA1".into(),
            from_um: 1_900_000,
            to_um: 2_000_500,
            contacts: vec![Form::Break, Form::Make],
            positive_opening: true,
        };
        let text = rating(&part(Kind::PositionSwitch(switch)));
        for word in ["11-12 break, opens positively", "23-24 make", "MA1", "1900\u{a0}mm", "2000.5\u{a0}mm"] {
            assert!(text.contains(word), "{word}: {text}");
        }
        let brake = Brake {
            motor: "MA1".into(),
            coil_mv: 24_000,
            dc: true,
            power_mw: 40_000,
            torque_mnm: 60_000,
            release_ms: 80,
            apply_ms: 40,
        };
        let text = rating(&part(Kind::Brake(brake)));
        assert!(text.contains("24\u{a0}V DC 40\u{a0}W") && text.contains("60\u{a0}N·m"), "{text}");
    }

    #[test]
    fn contactors_and_relays_name_coil_contacts_and_time() {
        let text = rating(&part(Kind::Contactor(Contactor { mirror: true, ..Contactor::default() })));
        for word in ["12\u{a0}A", "230\u{a0}V", "70\u{a0}VA", "13-14 make", "21-22 break", "mirror"] {
            assert!(text.contains(word), "{word}: {text}");
        }
        let relay = Relay {
            coil: Coil::dc(24_000, 500, Suppressor::Diode),
            contacts: Relay::usual_contacts(true),
            linked: false,
            delays: RELAY_DELAYS,
            bounce_ms: 0,
            timing: Some(Timing { function: TimerFunction::OffDelay, setting_ms: 2_000 }),
        };
        let part = part(Kind::Relay(relay));
        let text = rating(&part);
        for word in ["24\u{a0}V", "0.5\u{a0}W", "diode", "15-16-18", "changeover"] {
            assert!(text.contains(word), "{word}: {text}");
        }
        assert_eq!(kind_name(&part), "timer relay");
    }

    #[test]
    fn ratings_carry_their_units() {
        let breaker = Switchgear {
            poles: 2,
            protection: Protection::Breaker { rated_ma: 1_000, magnetic: 20 },
            auxiliaries: Vec::new(),
        };
        let text = rating(&part(Kind::Switchgear(breaker)));
        assert!(text.contains("1\u{a0}A") && text.contains('D') && text.contains('2'), "{text}");
        fn group<C: Default>(common: &str, names: [&str; 2]) -> Group<C> {
            let channels = names.iter().map(|n| n.to_string()).collect();
            Group { common: common.into(), channels, circuit: C::default() }
        }
        let controller = Controller {
            inputs: vec![group("CI1", ["I0", "I3"]), group("CI2", ["I4", "I7"])],
            outputs: vec![group("CQ1", ["Q0", "Q3"])],
            scan_ms: 5,
            filter_ms: 3,
            start_up_ms: 100,
            watchdog_ms: Controller::WATCHDOG_MS,
            contact_ns: Controller::CONTACT_NS,
        };
        let text = rating(&part(Kind::Controller(controller)));
        assert!(text.contains("I4") && text.contains("CI2") && text.contains("5\u{a0}ms"), "{text}");
    }
}
