//! What can be filled in of each kind of thing: one row of data per member of the file.
//!
//! Invariant: paths are those of the program file; a member is shown when what it stands in is there.

/// One member that can be filled in.
pub(super) struct Field {
    /// Where it stands in its thing.
    pub(super) path: &'static str,
    /// What it is called.
    pub(super) label: &'static str,
    /// Unit of the number; empty without.
    pub(super) unit: &'static str,
    /// What is filled in.
    pub(super) kind: Kind,
}

/// What is filled in.
pub(super) enum Kind {
    /// A text for people.
    Text,
    /// A text of several lines.
    Lines,
    /// Words parted by commas.
    Words,
    /// A number as the file has it.
    Number,
    /// A number in per mille, shown in per cent.
    Percent,
    /// Set or not.
    Check,
    /// One of the file's words; those before them stand for an absent member, empty when there has to be one.
    Choice(&'static str, &'static [(&'static str, &'static str)]),
    /// The identifier of another thing; the words stand for none, empty when there has to be one.
    Refer(Refer, &'static str),
    /// One of several shapes of the whole value.
    Shape(&'static [Shape]),
    /// One of several members of the object, which exclude each other.
    OneOf(&'static [Shape]),
    /// Heads, groups or all of them.
    Targets,
    /// Heads alone.
    Members,
    /// Alternatives of allowed values of signals.
    When,
    /// Values of signals that never come together, one list for each such condition.
    Impossible,
    /// Any of the colors.
    Colors,
    /// Two numbers, x and y; the color's usual ones when there are none.
    Chromaticity,
    /// The points of a beam, each an angle and a share of the peak.
    Points,
    /// One value per signal, or none.
    Sets,
    /// What a layer does.
    Act,
    /// How a control moves, which says how many positions it has.
    Style,
    /// Puts the shown state in place of the values.
    TakeState,
    /// Binds the lanes of the pattern anew.
    Rebind,
    /// A list of parts, each with fields of its own.
    Parts {
        /// What one of them is called.
        one: &'static str,
        /// What can be filled in of one.
        fields: &'static [Field],
    },
}

/// What an identifier leads to.
#[derive(Clone, Copy)]
pub(super) enum Refer {
    Output,
    Fuse,
    Clock,
    Pattern,
    /// A lane of the pattern that the layer plays.
    Lane,
    /// A value of the signal itself.
    Value,
}

/// One of several shapes a value can have.
pub struct Shape {
    /// What it is called.
    pub(super) label: &'static str,
    /// The member or the word that tells it; empty for an absent value.
    pub(super) probe: &'static str,
    /// What is filled in at first, as in a file; empty for an absent value.
    pub(super) json: &'static str,
}

const fn field(path: &'static str, label: &'static str, kind: Kind) -> Field {
    Field {
        path,
        label,
        unit: "",
        kind,
    }
}

const fn number(path: &'static str, label: &'static str, unit: &'static str) -> Field {
    Field {
        path,
        label,
        unit,
        kind: Kind::Number,
    }
}

const fn percent(path: &'static str, label: &'static str) -> Field {
    Field {
        path,
        label,
        unit: "%",
        kind: Kind::Percent,
    }
}

const fn shape(label: &'static str, probe: &'static str, json: &'static str) -> Shape {
    Shape { label, probe, json }
}

const LABEL: Field = field("label", "Label", Kind::Text);

pub(super) const COLORS: &[(&str, &str)] = &[
    ("red", "R red"),
    ("blue", "B blue"),
    ("amber", "A amber"),
    ("white", "W white"),
    ("green", "G green"),
];

/// What a layer does, by the member that says it.
pub(super) const ACTS: &[(&str, &str)] = &[
    ("play", "play a pattern"),
    ("hold", "hold steady light"),
    ("dark", "stay dark"),
];

/// How a control moves.
pub(super) const STYLES: &[(&str, &str)] = &[
    ("button", "button: a press sets"),
    ("toggle", "toggle: each press changes sides"),
    ("held", "held: acts while pressed"),
    ("slide", "slide: stays in one of several"),
];

pub(super) static TITLE: &[Field] = &[
    field("name", "Name of the program", Kind::Text),
    field("vehicle/name", "Name of the vehicle", Kind::Text),
    number("vehicle/outline/length_m", "Length", "m"),
    number("vehicle/outline/width_m", "Width without mirrors", "m"),
    number("vehicle/outline/height_m", "Height", "m"),
    number(
        "vehicle/supply/test_voltage_v",
        "Test voltage of the lamp currents",
        "V",
    ),
    number(
        "vehicle/supply/alternator_idle_a",
        "Alternator, hot at idle",
        "A",
    ),
    number(
        "vehicle/supply/alternator_speed_a",
        "Alternator at driving speed",
        "A",
    ),
    number(
        "vehicle/supply/other_load_a",
        "Everything else that runs at idle",
        "A",
    ),
    field(
        "vehicle/supply/battery",
        "Battery",
        Kind::Shape(&[
            shape("not known", "", ""),
            shape(
                "by reserve capacity",
                "reserve_minutes",
                r#"{"reserve_minutes": 120}"#,
            ),
            shape("by charge", "amp_hours", r#"{"amp_hours": 80}"#),
        ]),
    ),
    number(
        "vehicle/supply/battery/reserve_minutes",
        "Reserve at 25 A",
        "min",
    ),
    number("vehicle/supply/battery/amp_hours", "Charge", "Ah"),
    field("about", "Notes", Kind::Lines),
];

/// What cannot happen, which stands beside the vehicle as a whole.
pub(super) static IMPOSSIBLE: &[Field] = &[field("impossible", "", Kind::Impossible)];

pub(super) static HEAD: &[Field] = &[
    LABEL,
    number("x_m", "Forward of the middle", "m"),
    number("y_m", "Left of the middle", "m"),
    number("z_m", "Above the ground", "m"),
    number("facing_deg", "Facing, 0 forward, 90 left", "°"),
    field(
        "beam",
        "Beam",
        Kind::Shape(&[
            shape("20° by 5° half-angles, assumed", "", ""),
            shape(
                "half-angles",
                "half_peak",
                r#"{"half_peak": {"horizontal_deg": 20, "vertical_deg": 5}}"#,
            ),
            shape(
                "all round",
                "all_round",
                r#"{"all_round": {"vertical_deg": 5}}"#,
            ),
            // Half the peak at the same angles as the beam that is assumed.
            shape(
                "measured table",
                "table",
                r#"{"table": {"horizontal": [{"angle_deg": -40, "fraction": 0}, {"angle_deg": -20, "fraction": 0.5}, {"angle_deg": 0, "fraction": 1}, {"angle_deg": 20, "fraction": 0.5}, {"angle_deg": 40, "fraction": 0}], "vertical_deg": 5}}"#,
            ),
        ]),
    ),
    number(
        "beam/half_peak/horizontal_deg",
        "Half peak, left and right of the axis",
        "°",
    ),
    number(
        "beam/half_peak/vertical_deg",
        "Half peak, above and below the axis",
        "°",
    ),
    number(
        "beam/all_round/vertical_deg",
        "Half peak, above and below the axis",
        "°",
    ),
    number(
        "beam/table/vertical_deg",
        "Half peak, above and below the axis",
        "°",
    ),
    field("beam/table/horizontal", "Points of the beam", Kind::Points),
    field(
        "clock",
        "Clock",
        Kind::Refer(Refer::Clock, "the controller's"),
    ),
    field("tags", "Tags, parted by commas", Kind::Words),
    field(
        "emitters",
        "Emitters",
        Kind::Parts {
            one: "Emitter",
            fields: EMITTER,
        },
    ),
];

static EMITTER: &[Field] = &[
    field("color", "Color", Kind::Choice("", COLORS)),
    field(
        "chromaticity",
        "Chromaticity, CIE 1931 x, y",
        Kind::Chromaticity,
    ),
    number("peak_cd", "Peak intensity", "cd"),
    number("full_current_a", "Current at full level", "A"),
    field(
        "current_law",
        "Current follows the voltage",
        Kind::Choice(
            "constant power",
            &[
                ("resistive", "resistive"),
                ("constant-current", "constant current"),
            ],
        ),
    ),
    field(
        "dimming",
        "Dimming",
        Kind::Shape(&[
            shape("linear", "", ""),
            shape("by a carrier", "carrier_hz", r#"{"carrier_hz": 200}"#),
        ]),
    ),
    number("dimming/carrier_hz", "Carrier", "Hz"),
    field("output", "Output", Kind::Refer(Refer::Output, "none")),
];

pub(super) static OUTPUT: &[Field] = &[
    LABEL,
    number("rating_a", "Largest continuous current", "A"),
    field("fuse", "Fuse", Kind::Refer(Refer::Fuse, "none")),
    field(
        "shared_within_head",
        "Several emitters of one head may share it",
        Kind::Check,
    ),
    field(
        "wire",
        "Wire to the heads",
        Kind::Shape(&[
            shape("not known", "", ""),
            shape(
                "known",
                "length_m",
                r#"{"area_mm2": 1.5, "length_m": 4, "return": "wire"}"#,
            ),
        ]),
    ),
    field(
        "wire",
        "Conductor size",
        Kind::OneOf(&[
            shape("by cross-section", "area_mm2", r#"{"area_mm2": 1.5}"#),
            shape("by gauge", "gauge_awg", r#"{"gauge_awg": 16}"#),
        ]),
    ),
    number("wire/area_mm2", "Cross-section", "mm²"),
    number("wire/gauge_awg", "Gauge, 0 is 1/0, -1 is 2/0", "AWG"),
    number("wire/length_m", "Length one way", "m"),
    field(
        "wire/return",
        "Current comes back by",
        Kind::Shape(&[
            shape("a like wire", "wire", "\"wire\""),
            shape("the body", "chassis_mohm", r#"{"chassis_mohm": 5}"#),
        ]),
    ),
    number("wire/return/chassis_mohm", "Resistance of the body", "mΩ"),
];

pub(super) static FUSE: &[Field] = &[LABEL, number("rating_a", "Rating", "A")];

pub(super) static CLOCK: &[Field] = &[
    LABEL,
    number("tolerance_ppm", "Largest error of its rate", "ppm"),
];

pub(super) static GROUP: &[Field] = &[
    LABEL,
    field(
        "",
        "Members",
        Kind::OneOf(&[
            shape("these heads", "heads", r#"{"heads": []}"#),
            shape("all that have in common", "where", r#"{"where": {}}"#),
        ]),
    ),
    field("heads", "Heads", Kind::Members),
    field(
        "where/zone",
        "Zone",
        Kind::Choice(
            "any",
            &[
                ("A", "A front"),
                ("B", "B right"),
                ("C", "C rear"),
                ("D", "D left"),
            ],
        ),
    ),
    field(
        "where/side",
        "Side",
        Kind::Choice(
            "any",
            &[("left", "left"), ("center", "center"), ("right", "right")],
        ),
    ),
    field("where/color", "Color", Kind::Choice("any", COLORS)),
    field("where/tag", "Tag", Kind::Text),
];

pub(super) static SIGNAL: &[Field] = &[
    LABEL,
    field(
        "kind",
        "Comes from",
        Kind::Choice(
            "",
            &[
                ("switch", "a switch of the operator"),
                ("vehicle", "the vehicle"),
                ("ambient", "the light around it"),
            ],
        ),
    ),
    field("values", "Values, parted by commas", Kind::Words),
    field("default", "At rest", Kind::Refer(Refer::Value, "")),
    field(
        "on_lost",
        "When the input is lost",
        Kind::Refer(Refer::Value, "as at rest"),
    ),
];

pub(super) static CONTROL: &[Field] = &[
    LABEL,
    field("style", "Kind", Kind::Style),
    field(
        "positions",
        "Positions",
        Kind::Parts {
            one: "Position",
            fields: POSITION,
        },
    ),
];

static POSITION: &[Field] = &[LABEL, field("sets", "Sets", Kind::Sets)];

pub(super) static LAYER: &[Field] = &[
    LABEL,
    field("when", "When", Kind::When),
    field("", "Then", Kind::Act),
    field("play/pattern", "Pattern", Kind::Refer(Refer::Pattern, "")),
    field("play/bindings", "", Kind::Rebind),
    field(
        "play/bindings",
        "Lanes",
        Kind::Parts {
            one: "Lane",
            fields: BINDING,
        },
    ),
    field("hold/heads", "Heads", Kind::Targets),
    field(
        "hold/color",
        "Color",
        Kind::Choice("each head's first", COLORS),
    ),
    percent("hold/level", "Level"),
    field("dark/heads", "Heads", Kind::Targets),
];

static BINDING: &[Field] = &[
    field("lane", "Lane", Kind::Refer(Refer::Lane, "")),
    field("heads", "Heads", Kind::Targets),
    field("color", "Color", Kind::Choice("each head's first", COLORS)),
    number("offset_ms", "Later by", "ms"),
];

pub(super) static DIM: &[Field] = &[
    LABEL,
    field("when", "When", Kind::When),
    field("heads", "Heads", Kind::Targets),
    percent("factor", "Dim to"),
    field(
        "only",
        "Only heads that are",
        Kind::Choice("either", &[("flashing", "flashing"), ("steady", "steady")]),
    ),
];

pub(super) static SITUATION: &[Field] = &[
    LABEL,
    field("values", "", Kind::TakeState),
    field("values", "Values", Kind::Sets),
];

pub(super) static GUARANTEE: &[Field] = &[
    LABEL,
    field("when", "When", Kind::When),
    field("heads", "Heads", Kind::Targets),
    field(
        "must",
        "Must",
        Kind::Shape(&[
            shape("be dark", "be-dark", "\"be-dark\""),
            shape("be steady", "be-steady", "\"be-steady\""),
            shape("play in step", "play-in-step", "\"play-in-step\""),
            shape(
                "alternate, left against right",
                "alternate",
                "\"alternate\"",
            ),
            shape(
                "show only some colors",
                "show_only",
                r#"{"show_only": ["amber"]}"#,
            ),
            shape(
                "never show some colors",
                "show_never",
                r#"{"show_never": ["white"]}"#,
            ),
            shape(
                "stay at a level or below",
                "level_at_most",
                r#"{"level_at_most": 500}"#,
            ),
            shape(
                "reach a level",
                "level_at_least",
                r#"{"level_at_least": 500}"#,
            ),
            shape(
                "keep to a total current",
                "total_current_at_most_a",
                r#"{"total_current_at_most_a": 20}"#,
            ),
        ]),
    ),
    field("must/show_only", "Only these colors", Kind::Colors),
    field("must/show_never", "None of these colors", Kind::Colors),
    percent("must/level_at_most", "Level at most"),
    percent("must/level_at_least", "Level at least"),
    number(
        "must/total_current_at_most_a",
        "Mean current of all lamps at most",
        "A",
    ),
];
