//! The overload: dial, heat, whether it has tripped; its test, reset and stop actuator.

use super::facts::tags;
use crate::hooks::{use_hold, use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::Command;
use crate::store::model::{BenchAct, Kind};
use crate::t;
use crate::text::quantity::thousandths;
use yew::prelude::*;

/// All overloads of the job.
#[component]
pub fn Overloads() -> Html {
    let all =
        use_selector(|workshop| tags(&workshop.scenario().parts, |kind| matches!(kind, Kind::Overload(_))));
    html! { <>{ for all.iter().map(|tag| html! { <Overload key={tag.clone()} tag={tag.clone()} /> }) }</> }
}

#[derive(Properties, PartialEq)]
struct OverloadProps {
    tag: AttrValue,
}

#[component]
fn Overload(props: &OverloadProps) -> Html {
    let shop = use_workshop();
    let tag = props.tag.clone();
    let stop_tag = AttrValue::from(format!("{tag}.stop"));
    let hold = use_hold(stop_tag.clone());
    let (dial, heat, bar, word, frame, stop) =
        (use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref());
    use_live(tag.clone(), {
        let nodes = (dial.clone(), heat.clone(), bar.clone(), word.clone(), frame.clone(), stop.clone());
        move |tag| bindings(tag.to_string(), nodes)
    });
    let act = |act: BenchAct| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())))
    };
    html! {
        <section class="box overload" aria-label={t!("overload-title", tag = tag)} ref={frame}>
            <div class="overload-head">
                <h2>{ tag.clone() }<span class="faint overload-name">{ t!("overload-name") }</span></h2>
                <strong ref={word} class="overload-word" role="status"></strong>
            </div>
            <dl class="values">
                <div><dt>{ t!("overload-dial") }</dt><dd ref={dial} class="mono"></dd></div>
                <div><dt>{ t!("overload-heat") }</dt><dd ref={heat} class="mono"></dd></div>
            </dl>
            <svg class="overload-bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">
                <rect class="overload-scale" width="100" height="6" /><rect ref={bar} class="overload-level" height="6" />
            </svg>
            <div class="buttons">
                <button type="button" onclick={act(BenchAct::Trip(tag.to_string()))}>{ t!("overload-test") }</button>
                <button type="button" onclick={act(BenchAct::Reset(tag.to_string()))}>{ t!("overload-reset") }</button>
                <button type="button" ref={stop} class="overload-stop" aria-label={t!("overload-stop-name", tag = tag)}
                    onpointerdown={hold.onpointerdown} onpointerup={hold.onpointerup}
                    onpointercancel={hold.onpointercancel} onkeydown={hold.onkeydown} onkeyup={hold.onkeyup}
                    onblur={hold.onblur} oncontextmenu={hold.oncontextmenu}>{ t!("overload-stop") }</button>
            </div>
        </section>
    }
}

type Nodes = (NodeRef, NodeRef, NodeRef, NodeRef, NodeRef, NodeRef);

fn bindings(tag: String, (dial, heat, bar, word, frame, stop): Nodes) -> Vec<Binding> {
    let view = {
        let tag = tag.clone();
        move |w: &crate::store::Workshop| w.bench().overload(&tag)
    };
    let (a, b, c, d, e, f) = (view.clone(), view.clone(), view.clone(), view.clone(), view.clone(), view);
    vec![
        Binding::text(dial, move |w| a(w).map_or(String::new(), |o| thousandths(o.dial_ma.into(), "A"))),
        Binding::text(heat, move |w| {
            b(w).map_or(String::new(), |o| t!("overload-percent", percent = o.heat_permille / 10))
        }),
        Binding::attribute(bar, "width", move |w| c(w).map(|o| (o.heat_permille / 10).min(100).to_string())),
        Binding::text(word, move |w| {
            let text = match d(w) {
                Some(o) if o.tripped && !o.cool => t!("overload-tripped-hot"),
                Some(o) if o.tripped => t!("overload-tripped"),
                Some(o) if o.stop_held => t!("overload-stop-held"),
                _ => t!("overload-ready"),
            };
            text.to_string()
        }),
        Binding::attribute(frame, "data-tripped", move |w| {
            e(w).filter(|o| o.tripped).map(|_| "1".to_string())
        }),
        Binding::attribute(stop, "aria-pressed", move |w| f(w).map(|o| o.stop_held.to_string())),
    ]
}
