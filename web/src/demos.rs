//! The demo programs that come with the page, in invented scenarios.

/// One demo program.
#[derive(Debug)]
pub(crate) struct Demo {
    /// What it is called in the list.
    pub(crate) name: &'static str,
    /// What it shows.
    pub(crate) about: &'static str,
    /// The file.
    pub(crate) text: &'static str,
}

/// All demos; the first is open at the first start.
pub(crate) static DEMOS: &[Demo] = &[
    Demo {
        name: "Highway incident-support van",
        about: "arrow on the roof, scene light, overrides for reverse and doors, cruise and night dim",
        text: include_str!("../../patterns/incident-support-van.json"),
    },
    Demo {
        name: "Harbor-patrol car",
        about: "a small car",
        text: include_str!("../../patterns/harbor-patrol-car.json"),
    },
    Demo {
        name: "Rescue tender",
        about: "rear heads on clocks of their own",
        text: include_str!("../../patterns/rescue-tender.json"),
    },
    Demo {
        name: "Faulty breakdown truck",
        about: "made wrong on purpose: it trips most rules",
        text: include_str!("../../patterns/faulty-breakdown-truck.json"),
    },
];
