//! The overload: dial to turn, heat, whether it has tripped; its test, reset and stop actuator.

use super::facts::tags;
use crate::hooks::{use_hold, use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::Command;
use crate::store::model::{BenchAct, Change, Kind};
use crate::t;
use crate::text::quantity::thousandths;
use crate::why::WhyOf;
use web_sys::HtmlInputElement;
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
        <section class="box overload" aria-label={t!("overload-title", tag = tag)} ref={frame} data-why={tag.clone()}>
            <div class="overload-head">
                <h2>{ tag.clone() }<span class="faint overload-name">{ t!("overload-name") }</span></h2>
                <strong ref={word} class="overload-word" role="status"></strong>
                <WhyOf of={tag.clone()} name={tag.clone()} />
            </div>
            <dl class="values">
                <div><dt>{ t!("overload-dial") }</dt><dd ref={dial} class="mono"></dd></div>
                <div><dt>{ t!("overload-heat") }</dt><dd ref={heat} class="mono"></dd></div>
            </dl>
            <Dial tag={tag.clone()} />
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

/// Step of the dial, mA: as fine as a screwdriver sets it.
const DIAL_STEP_MA: u32 = 100;

/// The dial, from end to end of its scale. Turning it is a change of the work, which can be undone.
#[component]
fn Dial(props: &OverloadProps) -> Html {
    let shop = use_workshop();
    let tag = props.tag.to_string();
    let scale = {
        let tag = tag.clone();
        use_selector(move |workshop| {
            let part = workshop.scenario().parts.iter().find(|part| part.tag == tag)?;
            let now = workshop.bench().overload(&tag)?.dial_ma;
            part.kind.dial_ma().map(|(_, range)| (now, range))
        })
    };
    let Some((now, range)) = (*scale).clone() else { return Html::default() };
    let turn = {
        let tag = tag.clone();
        Callback::from(move |event: Event| {
            let field = event.target_dyn_into::<HtmlInputElement>();
            let Some(after_ma) = field.and_then(|field| field.value().parse().ok()) else { return };
            if after_ma != now {
                let change = Change::Dial { part: tag.clone(), before_ma: now, after_ma };
                shop.dispatch(Command::Change(change));
            }
        })
    };
    let amperes = |ma: u32| thousandths(ma.into(), "A");
    html! {
        <label class="overload-dial">
            <span class="faint small">{ amperes(*range.start()) }</span>
            <input type="range" min={range.start().to_string()} max={range.end().to_string()}
                step={DIAL_STEP_MA.to_string()} value={now.to_string()} onchange={turn}
                aria-label={t!("overload-dial-name", tag = tag)} aria-valuetext={amperes(now)} />
            <span class="faint small">{ amperes(*range.end()) }</span>
        </label>
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
        Binding::text(heat, move |w| match b(w) {
            Some(_) if w.is_sealed() => t!("loop-unseen").to_string(),
            o => o.map_or(String::new(), |o| t!("overload-percent", percent = o.heat_permille / 10)),
        }),
        Binding::attribute(bar, "width", move |w| {
            c(w).filter(|_| !w.is_sealed()).map(|o| (o.heat_permille / 10).min(100).to_string())
        }),
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
