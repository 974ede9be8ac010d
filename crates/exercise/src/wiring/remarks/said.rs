//! A remark in the words of a report.

use super::{MOST_IN_A_TERMINAL, Remark};
use crate::wiring::class::Class;
use sealin_core::plan::Conductor;

/// What is so, in one line.
pub fn said(remark: &Remark, conductors: &[Conductor]) -> String {
    let name = |id: &str| {
        let found = conductors.iter().find(|c| c.id == id);
        found.map_or_else(|| id.to_string(), |c| format!("{id} ({} to {})", c.from, c.to))
    };
    match remark {
        Remark::Crowded { terminal, conductors, .. } => {
            format!("{conductors} conductors in {terminal}; {MOST_IN_A_TERMINAL} are the most")
        }
        Remark::CircuitsJoined { conductor, one, other } => {
            format!("{} joins a {} and a {}", name(conductor), circuit(*one), circuit(*other))
        }
        Remark::ShortCircuit { conductor, source } => {
            format!("{} short-circuits {source}", name(conductor))
        }
        Remark::WrongColour { conductor, is, wanted, class, practice } => format!(
            "{} is {}; a {} is {} ({})",
            name(conductor),
            is.word(),
            circuit(*class),
            wanted.word(),
            practice.standard()
        ),
        Remark::WrongSection { conductor, is, wanted: (least, most), class } => {
            let wanted = if least == most {
                format!("{} mm²", mm2(*least))
            } else {
                format!("{} to {} mm²", mm2(*least), mm2(*most))
            };
            format!("{} has {} mm²; its {} has {wanted}", name(conductor), mm2(*is), circuit(*class))
        }
        Remark::NoNumber { conductor, wanted: Some(number) } => {
            format!("{} has no number; its potential has {number}", name(conductor))
        }
        Remark::NoNumber { conductor, wanted: None } => format!("{} has no number", name(conductor)),
        Remark::TwoNumbers { numbers, conductor, .. } => {
            format!(
                "{} is joined to others, and together they have the numbers {}",
                name(conductor),
                numbers.join(", ")
            )
        }
        Remark::TwoPotentials { number, conductor } => {
            format!("{} has the number {number}, which another potential has too", name(conductor))
        }
        Remark::InputCommonOpen { common, channels: (first, last), pole, .. } => {
            format!("{common}, the common of {first} to {last}, has no way to {pole}")
        }
        Remark::OutputCommonOpen { common, channels: (first, last) } => {
            format!("{common}, the common of {first} to {last}, has no conductor")
        }
        Remark::Doubled { conductor, beside } => {
            format!("{} lies beside {}, which joins the same terminals", name(conductor), beside)
        }
    }
}

fn circuit(class: Class) -> &'static str {
    match class {
        Class::Power => "power circuit",
        Class::AcControl => "AC control circuit",
        Class::DcControl => "DC control circuit",
        Class::Earth => "protective conductor",
    }
}

/// 0.75 of 75.
fn mm2(x100: u32) -> String {
    let text = format!("{}.{:02}", x100 / 100, x100 % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
