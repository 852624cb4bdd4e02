//! A car that has some of everything, so that everything can be changed.

use crate::support::*;
use lampwright_model::{
    Clock, Condition, Fuse, Group, GroupMembers, Guarantee, HeadId, Milliamps, Must, Output,
    Profile, Program, RuleChoice, Target,
};
use lampwright_timing::Level;
use std::rc::Rc;

/// A car that has some of everything.
pub(super) fn full() -> Rc<Program> {
    let mut parts = parts();
    let heads = |names: &[&str]| -> Vec<HeadId> {
        names
            .iter()
            .map(|name| HeadId::new(name).unwrap())
            .collect()
    };
    let vehicle = &mut parts.vehicle;
    vehicle.fuses.push(Fuse {
        id: "panel-1".parse().unwrap(),
        label: "Panel 1".into(),
        rating: Milliamps(10_000),
    });
    vehicle.outputs.push(Output {
        id: "roof".parse().unwrap(),
        label: "Roof".into(),
        rating: Milliamps(5_000),
        fuse: Some("panel-1".parse().unwrap()),
        wire: None,
        is_shared_within_head: false,
    });
    vehicle.clocks.push(Clock {
        id: "trailer".parse().unwrap(),
        label: "Trailer".into(),
        tolerance_ppm: 500,
    });
    vehicle.groups.push(Group {
        id: "rear".parse().unwrap(),
        label: "Rear".into(),
        members: GroupMembers::List(heads(&["rear-left", "rear-right"])),
    });
    parts.guarantees.push(Guarantee {
        id: "dark-doors".parse().unwrap(),
        label: "Dark beside the doors".into(),
        when: Condition::always(),
        heads: vec![Target::Head(HeadId::new("rear-left").unwrap())],
        must: Must::LevelAtMost(Level::nearest(900)),
    });
    parts.profile = profile("LW001");
    admitted(parts)
}

pub(super) fn profile(code: &str) -> Profile {
    Profile {
        title: format!("Only {code}"),
        jurisdiction: String::new(),
        rules: vec![RuleChoice::of(code.parse().unwrap())],
    }
}
