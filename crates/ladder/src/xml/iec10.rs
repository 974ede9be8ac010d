//! Writes IEC 61131-10:2019.

use super::Heading;
use crate::model::Program;

pub(super) fn write(_program: &Program, _heading: &Heading) -> String {
    String::new()
}
