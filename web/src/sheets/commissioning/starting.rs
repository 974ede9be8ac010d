//! What stands between the supply and the first scan: the DC supply and the controller, which take their time.

use super::controller_mode::ControllerMode;
use super::facts::tags;
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Workshop;
use crate::store::model::{ControllerPhase, DcPhase, Kind};
use crate::t;
use crate::text::quantity::milliseconds;
use yew::prelude::*;

/// One line a device.
#[component]
pub fn Starting() -> Html {
    let supplies = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::DcSupply(_))));
    let controllers = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Controller(_))));
    html! {
        <dl class="starting" aria-label={t!("starting-title")}>
            { for supplies.iter().map(|tag| html! { <Line key={tag.clone()} tag={tag.clone()} read={Read(supply)} /> }) }
            { for controllers.iter().map(|tag| html! {
                <Line key={tag.clone()} tag={tag.clone()} read={Read(controller)}>
                    <ControllerMode tag={tag.clone()} />
                </Line>
            }) }
        </dl>
    }
}

/// Reads the words for a device.
#[derive(Clone, Copy)]
struct Read(fn(&Workshop, &str) -> String);

impl PartialEq for Read {
    fn eq(&self, other: &Read) -> bool {
        std::ptr::fn_addr_eq(self.0, other.0)
    }
}

#[derive(Properties, PartialEq)]
struct LineProps {
    tag: AttrValue,
    read: Read,
    /// What stands behind the words.
    #[prop_or_default]
    children: Html,
}

#[component]
fn Line(props: &LineProps) -> Html {
    let word = use_node_ref();
    use_live((props.tag.clone(), props.read), {
        let word = word.clone();
        move |(tag, read)| {
            let (tag, read) = (tag.to_string(), read.0);
            vec![Binding::text(word, move |w| read(w, &tag))]
        }
    });
    html! {
        <div data-why={props.tag.clone()}>
            <dt>{ props.tag.clone() }</dt>
            <dd><span ref={word} role="status"></span>{ props.children.clone() }</dd>
        </div>
    }
}

/// The time that a start-up takes, as far as the job tells it.
fn start_up_ms(workshop: &Workshop, tag: &str) -> u64 {
    let part = workshop.scenario().parts.iter().find(|part| part.tag == tag);
    part.map_or(0, |part| match &part.kind {
        Kind::DcSupply(supply) => supply.start_up_ms.into(),
        Kind::Controller(controller) => controller.start_up_ms.into(),
        _ => 0,
    })
}

fn supply(workshop: &Workshop, tag: &str) -> String {
    match workshop.bench().dc_supply(tag).map(|state| state.phase) {
        Some(DcPhase::Starting) => t!("starting-supply", time = milliseconds(start_up_ms(workshop, tag))),
        Some(DcPhase::On) => t!("starting-supply-on").to_string(),
        Some(DcPhase::HoldingUp) => t!("starting-supply-holds").to_string(),
        _ => t!("starting-supply-off").to_string(),
    }
}

fn controller(workshop: &Workshop, tag: &str) -> String {
    match workshop.bench().controller(tag).map(|state| state.phase) {
        Some(ControllerPhase::Starting) => {
            t!("starting-controller", time = milliseconds(start_up_ms(workshop, tag)))
        }
        Some(ControllerPhase::Stopped) => t!("starting-controller-stopped").to_string(),
        Some(ControllerPhase::Running) => t!("starting-controller-runs").to_string(),
        _ => t!("starting-controller-off").to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::{act, workshop};

    /// The job's figures: 0.5 s of the 24 V supply, then 0.5 s of the controller.
    #[test]
    fn the_start_is_told_step_by_step() {
        let mut w = workshop();
        let told = |w: &Workshop| (supply(w, "TB1"), controller(w, "KF1"));
        let off = told(&w);
        act(&mut w, "power on");
        w.carry_out(Command::Step(200)).unwrap();
        let first = told(&w);
        assert!(first.0 != off.0 && first.1 == off.1, "{first:?}");
        w.carry_out(Command::Step(500)).unwrap();
        let second = told(&w);
        assert!(second.0 == t!("starting-supply-on") && second.1.contains("500"), "{second:?}");
        w.carry_out(Command::Step(600)).unwrap();
        assert_eq!(told(&w).1, t!("starting-controller-runs"));
    }
}
