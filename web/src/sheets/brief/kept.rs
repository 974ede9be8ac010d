//! The attempts that are kept in this browser: opened, named, doubled, saved, deleted and put back.

use crate::hooks::{use_selector, use_workshop};
use crate::services::kept;
use crate::services::opening;
use crate::store::Saved;
use crate::store::kept::{KeptAttempt, MOST_NAME, in_order};
use crate::store::model::Card;
use crate::t;
use crate::text::time::{bench_time, day_and_time};
use std::collections::BTreeMap;
use web_sys::{HtmlInputElement, SubmitEvent};
use yew::prelude::*;

/// Titles of the jobs that ship, by id.
pub type Titles = BTreeMap<String, String>;

#[derive(Properties, PartialEq)]
pub struct KeptProps {
    /// Titles of the jobs.
    pub titles: Titles,
}

/// The table of what is kept; nothing while only the attempt in hand is.
#[component]
pub fn Kept(props: &KeptProps) -> Html {
    let (saved, here, work) =
        *use_selector(|workshop| (workshop.saved(), workshop.place(), workshop.own().1));
    let all = use_state(Vec::<KeptAttempt>::new);
    let deleted = use_state(|| None::<KeptAttempt>);
    let load = {
        let all = all.clone();
        Callback::from(move |()| {
            let all = all.clone();
            wasm_bindgen_futures::spawn_local(async move { all.set(kept::list().await) });
        })
    };
    {
        let load = load.clone();
        use_effect_with((work, here), move |_| load.emit(()));
    }
    let shown = in_order((*all).clone());
    if saved == Saved::Elsewhere || (deleted.is_none() && shown.iter().all(|entry| here == Some(entry.place)))
    {
        return html! {};
    }
    // What is deleted is said once it is written: a page that is closed on the word must not bring the attempt back.
    let write = {
        let (load, deleted) = (load.clone(), deleted.clone());
        Callback::from(move |(entry, then): (KeptAttempt, Option<KeptAttempt>)| {
            let (load, deleted) = (load.clone(), deleted.clone());
            let written = move |()| {
                deleted.set(then.clone());
                load.emit(());
            };
            kept::write(entry, written.into());
        })
    };
    let delete = {
        let write = write.clone();
        Callback::from(move |entry: KeptAttempt| {
            write.emit((KeptAttempt { deleted: true, ..entry.clone() }, Some(entry)));
        })
    };
    let put_back = {
        let deleted = deleted.clone();
        Callback::from(move |_: MouseEvent| {
            if let Some(entry) = (*deleted).clone() {
                write.emit((entry, None));
            }
        })
    };
    html! {
        <section class="keeping">
            <h2 class="heading">{ t!("kept-title") }</h2>
            if let Some(entry) = (*deleted).clone() {
                <p class="kept-deleted box" role="status">
                    { t!("kept-deleted", name = name_of(&entry)) }
                    { " " }
                    <button type="button" onclick={put_back}>{ t!("kept-put-back") }</button>
                </p>
            }
            <ul>
                { for shown.iter().map(|entry| html! {
                    <Line key={entry.place} here={here == Some(entry.place)} title={title(&props.titles, entry)}
                        entry={entry.clone()} changed={load.clone()} delete={delete.clone()} />
                }) }
            </ul>
        </section>
    }
}

fn title(titles: &Titles, entry: &KeptAttempt) -> String {
    titles.get(&entry.job).unwrap_or(&entry.job).clone()
}

/// The name that a person gave, or when it was begun.
fn name_of(entry: &KeptAttempt) -> String {
    match entry.name.is_empty() {
        true => t!("kept-unnamed", when = day_and_time(&entry.started)),
        false => entry.name.clone(),
    }
}

#[derive(Properties, PartialEq)]
struct LineProps {
    entry: KeptAttempt,
    title: String,
    /// It is the attempt in hand.
    here: bool,
    /// Something has changed in the list.
    changed: Callback<()>,
    delete: Callback<KeptAttempt>,
}

/// One attempt.
#[component]
fn Line(props: &LineProps) -> Html {
    let shop = use_workshop();
    let naming = use_state(|| false);
    let entry = &props.entry;
    let name = name_of(entry);
    // Several lines lie open: each button says what it is for.
    let label = |act: &str| t!("kept-act-on", act = act, name = name);
    // What the attempt in hand has come to is not yet in the list.
    let (acts, ticks) = match props.here {
        true => shop.with(|workshop| (workshop.own().0.acts(), workshop.own().0.tick())),
        false => (entry.acts, entry.bench_ms),
    };
    let with = |act: fn(KeptAttempt, Callback<()>)| {
        let (entry, changed) = (entry.clone(), props.changed.clone());
        Callback::from(move |_: MouseEvent| act(entry.clone(), changed.clone()))
    };
    let open = {
        let (shop, entry) = (shop.clone(), entry.clone());
        Callback::from(move |_: MouseEvent| opening::change_attempt(shop.clone(), entry.clone()))
    };
    let save = {
        let (shop, entry) = (shop.clone(), entry.clone());
        Callback::from(move |_: MouseEvent| kept::save(&shop, entry.clone()))
    };
    let delete = {
        let (delete, entry) = (props.delete.clone(), entry.clone());
        Callback::from(move |_: MouseEvent| delete.emit(entry.clone()))
    };
    let name_it = {
        let naming = naming.clone();
        Callback::from(move |_: MouseEvent| naming.set(!*naming))
    };
    let named = {
        let (naming, entry, changed) = (naming.clone(), entry.clone(), props.changed.clone());
        Callback::from(move |name: String| {
            naming.set(false);
            kept::write(entry.named(&name), changed.clone());
        })
    };
    html! {
        <li class="kept-line">
            <div class="kept-what">
                if *naming {
                    <Name name={entry.name.clone()} {named} />
                } else {
                    <strong>{ name.clone() }</strong>
                }
                <span class="faint small">{ t!("kept-facts", job = props.title, acts = acts, time = bench_time(ticks)) }</span>
            </div>
            if props.here {
                <span class="faint">{ t!("jobs-here") }</span>
            } else {
                <button type="button" onclick={open} aria-label={t!("jobs-open-of", job = name)}>{ t!("jobs-open") }</button>
            }
            <details class="kept-more">
                <summary aria-label={t!("kept-more-of", name = name)}>{ t!("kept-more") }</summary>
                <div class="attempt-buttons">
                    <button type="button" onclick={name_it} aria-label={label(t!("kept-rename"))}>{ t!("kept-rename") }</button>
                    <button type="button" onclick={with(kept::duplicate)} aria-label={label(t!("kept-duplicate"))}>{ t!("kept-duplicate") }</button>
                    if !props.here {
                        <button type="button" onclick={save} aria-label={label(t!("attempt-save"))}>{ t!("attempt-save") }</button>
                        <button type="button" onclick={delete} aria-label={label(t!("kept-delete"))}>{ t!("kept-delete") }</button>
                    }
                </div>
            </details>
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct NameProps {
    name: String,
    named: Callback<String>,
}

/// The field for another name.
#[component]
fn Name(props: &NameProps) -> Html {
    let field = use_node_ref();
    {
        let field = field.clone();
        use_effect_with((), move |()| {
            if let Some(field) = field.cast::<HtmlInputElement>() {
                let _ = field.focus();
            }
        });
    }
    let submit = {
        let (field, named) = (field.clone(), props.named.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            if let Some(field) = field.cast::<HtmlInputElement>() {
                named.emit(field.value());
            }
        })
    };
    html! {
        <form class="kept-name" onsubmit={submit}>
            <input ref={field} type="text" aria-label={t!("kept-name")} maxlength={MOST_NAME.to_string()} value={props.name.clone()} />
            <button type="submit">{ t!("kept-name-keep") }</button>
        </form>
    }
}

/// Titles of the jobs.
pub fn titles(jobs: &[Card]) -> Titles {
    jobs.iter().map(|job| (job.id.clone(), job.title.clone())).collect()
}
