//! What a teacher would say about the program and its wiring. It never blocks.

use crate::hooks::use_workshop;
use crate::services::page;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use sealin_ladder::Remark;
use yew::prelude::*;

/// One thing to look at, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// What is so, in one line.
    pub text: String,
    /// Why that matters, and what to try.
    pub why: String,
    /// Index of the rung it is about.
    pub rung: Option<usize>,
}

impl From<&Remark> for Said {
    fn from(remark: &Remark) -> Said {
        Said {
            text: remark.text.clone(),
            why: remark.why.clone(),
            rung: remark.rung.map(|rung| rung as usize),
        }
    }
}

/// The remarks.
#[derive(Properties, PartialEq)]
pub struct RemarksProps {
    /// In the order in which they are said.
    pub remarks: Vec<Said>,
}

/// Each remark with its why; one that holds of several rungs says why once. Choosing a rung goes there.
#[component]
pub fn Remarks(props: &RemarksProps) -> Html {
    let shop = use_workshop();
    if props.remarks.is_empty() {
        return Html::default();
    }
    let go = |rung: usize| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Program, Thing::Rung(rung + 1))));
        })
    };
    html! {
        <section class="teachers" id="teachers" tabindex="-1" aria-labelledby="remarks-title">
            <div class="heading"><h2 id="remarks-title">{ t!("program-remarks") }</h2></div>
            { for grouped(&props.remarks).into_iter().map(|group| html! {
                <div class="teacher">
                    { for group.iter().map(|remark| html! { <h3>{ remark.text.clone() }</h3> }) }
                    <p class="small faint">{ group[0].why.clone() }</p>
                    { for group.iter().filter_map(|remark| remark.rung).map(|rung| html! {
                        <button type="button" class="button-quiet teacher-go" onclick={go(rung)}>
                            { t!("program-go-to-rung", number = rung + 1) }
                        </button>
                    }) }
                </div>
            }) }
        </section>
    }
}

/// How many remarks there are, as the way to them.
#[component]
pub fn RemarksLink(props: &RemarksProps) -> Html {
    let count = props.remarks.len();
    if count == 0 {
        return Html::default();
    }
    let go = Callback::from(|_: MouseEvent| {
        if let Some(section) = page::document().and_then(|document| document.get_element_by_id("teachers")) {
            section.scroll_into_view();
        }
    });
    let text = if count == 1 {
        t!("program-remark-one").to_string()
    } else {
        t!("program-remark-count", count = count)
    };
    html! { <button type="button" class="teachers-link" onclick={go}>{ text }</button> }
}

/// Remarks with the same reason together, in the order of the first of each.
fn grouped(remarks: &[Said]) -> Vec<Vec<&Said>> {
    let mut groups: Vec<Vec<&Said>> = Vec::new();
    for remark in remarks {
        match groups.iter_mut().find(|group| group[0].why == remark.why) {
            Some(group) => group.push(remark),
            None => groups.push(vec![remark]),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_reason_is_said_once() {
        let source =
            "PROGRAM p VAR a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; r AT %QX0.1 : BOOL; u : BOOL; END_VAR
            q := a OR q; r := a OR r; END_PROGRAM";
        let remarks = sealin_ladder::remarks(&sealin_ladder::parse(source).unwrap());
        let remarks: Vec<Said> = remarks.iter().map(Said::from).collect();
        let sizes: Vec<usize> = grouped(&remarks).iter().map(Vec::len).collect();
        assert_eq!(sizes, [2, 1], "{remarks:?}");
    }
}
