//! The demo programs that come with the page, in invented scenarios.

/// One demo program.
#[derive(Debug)]
pub(crate) struct Demo {
    /// What it is called in the list.
    pub(crate) name: &'static str,
    /// What it shows.
    pub(crate) about: &'static str,
    /// Where its file is.
    pub(crate) source: Source,
}

/// Where the file of a demo is.
#[derive(Debug)]
pub(crate) enum Source {
    /// Within the app, as it is open at the first start.
    Within(&'static str),
    /// Beside the app, read when it is opened.
    Beside(&'static str),
}

/// All demos; the first is open at the first start.
pub(crate) static DEMOS: &[Demo] = &[
    Demo {
        name: "Highway incident-support van",
        about: "arrow on the roof, scene light, overrides for reverse and doors, cruise and night dim",
        source: Source::Within(include_str!("../../patterns/incident-support-van.json")),
    },
    Demo {
        name: "Harbor-patrol car",
        about: "a small car",
        source: Source::Beside("programs/harbor-patrol-car.json"),
    },
    Demo {
        name: "Rescue tender",
        about: "rear heads on clocks of their own",
        source: Source::Beside("programs/rescue-tender.json"),
    },
    Demo {
        name: "Faulty breakdown truck",
        about: "made wrong on purpose: it trips most rules",
        source: Source::Beside("programs/faulty-breakdown-truck.json"),
    },
];
