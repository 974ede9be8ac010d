//! What a teacher would say about the program. It never blocks.

use crate::hooks::use_workshop;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use sealin_ladder::Remark;
use yew::prelude::*;

/// The remarks.
#[derive(Properties, PartialEq)]
pub struct RemarksProps {
    /// In the order of the rungs.
    pub remarks: Vec<Remark>,
}

/// Each remark with its why; one that holds of several rungs says why once. Choosing a rung goes there.
#[component]
pub fn Remarks(props: &RemarksProps) -> Html {
    let shop = use_workshop();
    if props.remarks.is_empty() {
        return Html::default();
    }
    let go = |rung: u32| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| {
            let thing = Thing::Rung(rung as usize + 1);
            shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Program, thing)));
        })
    };
    html! {
        <section class="teachers" aria-labelledby="remarks-title">
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

/// Remarks with the same reason together, in the order of the first of each.
fn grouped(remarks: &[Remark]) -> Vec<Vec<&Remark>> {
    let mut groups: Vec<Vec<&Remark>> = Vec::new();
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
        let sizes: Vec<usize> = grouped(&remarks).iter().map(Vec::len).collect();
        assert_eq!(sizes, [2, 1], "{remarks:?}");
    }
}
