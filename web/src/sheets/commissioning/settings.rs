//! What a learner may set at the devices of a job besides dials: a list to choose from for each. Choosing is a change of the work, which
//! can be undone.

use crate::hooks::{use_selector, use_workshop};
use crate::shelves::Pick;
use crate::store::Command;
use crate::store::model::{Change, Reset};
use crate::t;
use sealin_exercise::setting::{Adjustment, Setting};
use yew::prelude::*;

/// All of the job; nothing where it leaves none to the learner.
#[component]
pub fn Settings() -> Html {
    let shop = use_workshop();
    let all = use_selector(|workshop| {
        let scenario = workshop.scenario();
        let now = |(tag, adjustment): (&String, &Adjustment)| {
            Some((tag.clone(), adjustment.clone(), adjustment.now(&scenario.parts, tag)?))
        };
        scenario.adjustments.iter().filter_map(now).collect::<Vec<_>>()
    });
    if all.is_empty() {
        return html! {};
    }
    html! {
        <section class="box" aria-labelledby="settings">
            <h2 id="settings">{ t!("settings-title") }</h2>
            { for all.iter().map(|(tag, adjustment, before)| {
                let fits = Setting::ALL.into_iter().filter(|setting| adjustment.takes(*setting));
                let options = fits.map(|setting| (setting.word().to_string(), words(setting).to_string())).collect::<Vec<_>>();
                let set = {
                    let (shop, part, before) = (shop.clone(), tag.clone(), *before);
                    Callback::from(move |chosen: String| {
                        if let Ok(after) = Setting::parse(&chosen) && after != before {
                            shop.dispatch(Command::Change(Change::Set { part: part.clone(), before, after }));
                        }
                    })
                };
                html! {
                    <Pick key={tag.clone()} label={name(tag, adjustment)} {options} value={before.word().to_string()} on_pick={set} />
                }
            }) }
        </section>
    }
}

/// What is set: `Reset of FC1`, `Mechanical interlock between QA1 and QA2`.
pub fn name(tag: &str, adjustment: &Adjustment) -> String {
    match adjustment {
        Adjustment::Reset => t!("settings-reset", tag = tag),
        Adjustment::Interlock(other) => t!("settings-interlock", tag = tag, other = other),
    }
}

/// How it is set.
pub fn words(setting: Setting) -> &'static str {
    match setting {
        Setting::Reset(Reset::Manual) => t!("device-reset-manual"),
        Setting::Reset(Reset::Automatic) => t!("device-reset-automatic"),
        Setting::Interlock(true) => t!("settings-fitted"),
        Setting::Interlock(false) => t!("settings-not-fitted"),
    }
}

#[cfg(test)]
mod tests {
    use super::{name, words};
    use crate::store::model::{Change, Scenario, Session};
    use crate::store::{Command, Workshop};
    use sealin_exercise::setting::Setting;
    use sealin_exercise::shipped;

    /// The condemned panel leaves the interlock to the learner. Fitted, it is on the bench and at the devices; undone, it is off again.
    #[test]
    fn an_interlock_is_fitted_and_taken_off() {
        let scenario = Scenario::parse(shipped::get("condemned-panel").unwrap()).unwrap();
        let mut w = Workshop::new(Session::new(scenario.into(), 1).unwrap());
        let adjustment = w.scenario().adjustments["QA1"].clone();
        assert!(name("QA1", &adjustment).contains("QA2"));
        let now = |w: &Workshop| {
            let shown = adjustment.now(&w.scenario().parts, "QA1");
            assert_eq!(
                shown,
                adjustment.now(&w.bench().plan().parts, "QA1"),
                "what is shown is what is there"
            );
            assert_eq!(shown, adjustment_of_partner(w));
            words(shown.unwrap())
        };
        let (off, on) = (Setting::Interlock(false), Setting::Interlock(true));
        assert_eq!(now(&w), words(off));
        w.carry_out(Command::Change(Change::Set { part: "QA1".into(), before: off, after: on })).unwrap();
        assert_eq!(now(&w), words(on));
        w.carry_out(Command::Undo).unwrap();
        assert_eq!(now(&w), words(off));
    }

    /// The interlock as the other contactor has it.
    fn adjustment_of_partner(w: &Workshop) -> Option<Setting> {
        sealin_exercise::setting::Adjustment::Interlock("QA1".into()).now(&w.scenario().parts, "QA2")
    }
}
