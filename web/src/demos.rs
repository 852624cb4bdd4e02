//! The demo programs that come with the page, in invented scenarios.

/// One demo program.
#[derive(Debug)]
pub(crate) struct Demo {
    /// What it is called in the list.
    pub(crate) name: &'static str,
    /// What it shows.
    pub(crate) about: &'static str,
    /// Where its file is, beside the app; it is read when it is opened.
    pub(crate) path: &'static str,
}

/// All demos; the first is open at the first start.
pub(crate) static DEMOS: &[Demo] = &[
    Demo {
        name: "Highway incident-support van",
        about: "arrow on the roof, scene light, overrides for reverse and doors, cruise and night dim",
        path: "programs/incident-support-van.json",
    },
    Demo {
        name: "Harbor-patrol car",
        about: "a small car",
        path: "programs/harbor-patrol-car.json",
    },
    Demo {
        name: "Rescue tender",
        about: "rear heads on clocks of their own",
        path: "programs/rescue-tender.json",
    },
    Demo {
        name: "Faulty breakdown truck",
        about: "made wrong on purpose: it trips most rules",
        path: "programs/faulty-breakdown-truck.json",
    },
];
