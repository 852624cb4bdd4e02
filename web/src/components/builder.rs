//! The pattern builder: sliders and numbers for what a person would say, the lanes that come of it, and the verdict while they move.
//!
//! Invariant: nothing changes in the program before the person takes the pattern over, and then as one step of the history.

use super::dialog::{Dialog, Props as DialogProps};
use super::fields::{WHOLE, number_input};
use super::table::{micros, milliseconds};
use super::trying::{Desk, View, choice, drawn, everywhere, scopes, takers, verdict};
use crate::tag::{Tag, component, said, tag, text};
use lampwright_editor::builder::{
    Arrangement, LANES, PULSES, PulseLength, RATES, TICKS, Wish, build,
};
use lampwright_model::Color;
use lampwright_timing::{Level, Micros};
use yew::prelude::*;

/// What the person has said so far.
pub(crate) struct Form {
    wish: Wish,
    /// Length of a pulse and lit share of the pattern built last, shown where the other one was asked for.
    built: (Micros, i64),
    /// Why the last number was not taken over; empty when it was.
    refused: String,
}

/// A number the person can say; its values are thousandths of its unit.
struct Field {
    id: &'static str,
    label: &'static str,
    unit: &'static str,
    /// Least, most and step of the slider; no slider for a step of zero.
    slider: (i64, i64, i64),
    /// Usual values, which the slider stops at (common practice, no source).
    usual: &'static [i64],
    is_shown: fn(&Wish) -> bool,
    get: fn(&Form) -> i64,
    set: fn(&mut Wish, i64),
}

impl Field {
    /// What its values are multiples of.
    fn grain(&self) -> i64 {
        match self.unit {
            "" => WHOLE,
            "%" => 100,
            _ => 1,
        }
    }

    /// What can be typed.
    fn wanted(&self) -> &'static str {
        match self.unit {
            "" => "a whole number wanted",
            "%" => "0 to 100 % with at most one decimal wanted",
            _ => "0 or more, with at most three decimals, wanted",
        }
    }
}

fn flashes(wish: &Wish) -> bool {
    wish.arrangement != Arrangement::Steady
}

static FIELDS: [Field; 10] = [
    Field {
        id: "lanes",
        label: "Lanes",
        unit: "",
        slider: (LANES.0 * 1000, LANES.1 * 1000, 1000),
        usual: &[],
        is_shown: |wish| wish.arrangement.counts_lanes(),
        get: |form| form.wish.n_lanes * 1000,
        set: |wish, value| wish.n_lanes = value / 1000,
    },
    Field {
        id: "pulses",
        label: "Pulses per flash",
        unit: "",
        slider: (PULSES.0 * 1000, 6_000, 1000),
        usual: &[],
        is_shown: flashes,
        get: |form| form.wish.n_pulses * 1000,
        set: |wish, value| wish.n_pulses = value / 1000,
    },
    Field {
        id: "rate",
        label: "Flashes per lane",
        unit: "per minute",
        slider: (20_000, 300_000, 1_000),
        usual: &[60_000, 75_000, 90_000, 120_000, 150_000, 180_000, 240_000],
        is_shown: flashes,
        get: |form| form.wish.rate,
        set: |wish, value| wish.rate = value.min(RATES.1 * 10),
    },
    Field {
        id: "hertz",
        label: "The same in hertz",
        unit: "Hz",
        slider: (0, 0, 0),
        usual: &[],
        is_shown: flashes,
        get: |form| (form.wish.rate + 30) / 60,
        set: |wish, value| wish.rate = value.min(RATES.1) * 60,
    },
    Field {
        id: "length",
        label: "Length of a pulse",
        unit: "ms",
        slider: (5_000, 500_000, 5_000),
        usual: &[50_000, 75_000, 100_000, 150_000, 200_000, 300_000, 400_000],
        is_shown: flashes,
        get: |form| match form.wish.length {
            PulseLength::Time(time) => time.get(),
            PulseLength::Share(_) => form.built.0.get(),
        },
        set: |wish, value| wish.length = PulseLength::Time(Micros(value)),
    },
    Field {
        id: "share",
        label: "Share lit",
        unit: "%",
        slider: (1_000, 95_000, 1_000),
        usual: &[20_000, 30_000, 40_000, 50_000],
        is_shown: flashes,
        get: |form| {
            100 * match form.wish.length {
                PulseLength::Time(_) => form.built.1,
                PulseLength::Share(share) => share,
            }
        },
        set: |wish, value| wish.length = PulseLength::Share((value / 100).min(1000)),
    },
    Field {
        id: "gap",
        label: "Gap between pulses",
        unit: "ms",
        slider: (5_000, 300_000, 5_000),
        usual: &[50_000, 75_000, 100_000, 150_000],
        is_shown: |wish| flashes(wish) && wish.n_pulses > 1,
        get: |form| form.wish.gap.get(),
        set: |wish, value| wish.gap = Micros(value),
    },
    Field {
        id: "level",
        label: "Level",
        unit: "%",
        slider: (1_000, 100_000, 1_000),
        usual: &[25_000, 50_000, 75_000, 100_000],
        is_shown: |_| true,
        get: |form| form.wish.level.per_mille() * 100,
        set: |wish, value| wish.level = Level::nearest(value / 100),
    },
    Field {
        id: "low",
        label: "Level between pulses",
        unit: "%",
        slider: (0, 90_000, 1_000),
        usual: &[0, 10_000, 25_000, 50_000],
        is_shown: flashes,
        get: |form| form.wish.low.per_mille() * 100,
        set: |wish, value| wish.low = Level::nearest(value / 100),
    },
    Field {
        id: "tick",
        label: "Tick of the controller",
        unit: "ms",
        slider: (0, 0, 0),
        usual: &[],
        is_shown: |_| true,
        get: |form| form.wish.tick.get(),
        set: |wish, value| wish.tick = Micros(value.min(TICKS.1.get() * 10)),
    },
];

impl Form {
    /// Takes over the text of a field, by its identifier; false when it is none of this form.
    pub(crate) fn set(&mut self, id: &str, text: &str) -> bool {
        self.refused.clear();
        match id {
            "arrangement" => {
                let index = text.parse::<usize>().unwrap_or(0);
                if let Some(arrangement) = Arrangement::ALL.get(index) {
                    self.wish.arrangement = *arrangement;
                }
            }
            "color" => self.wish.color = Color::from_name(text),
            "second" => {
                self.wish.second_color = (text != SAME).then(|| Color::from_name(text));
            }
            _ => {
                let Some(field) = FIELDS.iter().find(|field| field.id == id) else {
                    return false;
                };
                // Taken over as it was typed or not at all.
                let value = micros(text).map(Micros::get);
                match value.filter(|value| *value >= 0 && value % field.grain() == 0) {
                    Some(value) if field.unit != "%" || value <= 100_000 => {
                        (field.set)(&mut self.wish, value);
                    }
                    _ => {
                        self.refused = format!("{} \"{text}\", {}", field.label, field.wanted());
                    }
                }
            }
        }
        true
    }
}

/// The value of the choice of one color for all lanes.
const SAME: &str = "same";

/// Colors to choose from: what comes before them, the heads' own, and each by its name.
fn colors(
    first: Option<(String, String, bool)>,
    now: Option<Option<Color>>,
) -> impl Iterator<Item = (String, String, bool)> {
    let own = (
        String::new(),
        "as the head or the layer says".to_owned(),
        now == Some(None),
    );
    let named = Color::ALL.into_iter().map(move |color| {
        (
            color.name().to_owned(),
            format!("{} {color}", color.letter()),
            now == Some(Some(color)),
        )
    });
    first.into_iter().chain(std::iter::once(own)).chain(named)
}

/// The pattern builder.
pub(crate) fn shown(view: &View) -> Html {
    let (desk, document) = (&view.desk, &view.document);
    let mut state = desk.state.borrow_mut();
    let scope = state.scope;
    let form = state.form.get_or_insert_with(|| Form {
        wish: document.first_wish(scope),
        built: (Micros::ZERO, 0),
        refused: String::new(),
    });
    let built = build(&form.wish);
    if let Ok(built) = &built {
        form.built = (built.length, built.share);
    }
    drop(state);
    let state = desk.state.borrow();
    let Some(form) = &state.form else {
        return Html::default();
    };
    let fields = FIELDS.iter().filter(|field| (field.is_shown)(&form.wish));
    let fields = fields.map(|field| row(field, form, desk));
    let arrangements = Arrangement::ALL.iter().enumerate().map(|(index, known)| {
        (
            index.to_string(),
            known.name().to_owned(),
            *known == form.wish.arrangement,
        )
    });
    let wish = &form.wish;
    let second = wish.arrangement.has_second().then(|| {
        let is_same = wish.second_color.is_none();
        let same = (SAME.to_owned(), "the same".to_owned(), is_same);
        let words = if wish.arrangement == Arrangement::Pairs {
            "Every second pair"
        } else {
            "Right side"
        };
        choice(
            words,
            "builder-second",
            colors(Some(same), wish.second_color),
            desk.on_change("second"),
        )
    });
    let refused = (!form.refused.is_empty())
        .then(|| text("p", "is-refused", form.refused.clone()).with("role", "alert"));
    let asked = tag("div", "column asked")
        .maybe(refused)
        .tag(choice(
            "Arrangement",
            "builder-arrangement",
            arrangements,
            desk.on_change("arrangement"),
        ))
        .tag(tag("div", "column asked").tags(fields))
        .tag(choice(
            "Color",
            "builder-color",
            colors(None, Some(wish.color)),
            desk.on_change("color"),
        ))
        .maybe(second)
        .tag(scopes(view, "builder-scope"))
        .tags(everywhere(view).into_iter());
    let gives = match &built {
        Ok(built) => tag("div", "column")
            .tag(text("h3", "", built.pattern.label.clone()).with("id", "built"))
            .tag(tag("figure", "example").tag(drawn(&built.pattern, true)))
            .tag(
                tag("ul", "bullets notes")
                    .with("aria-label", "What is not met exactly")
                    .tags(built.notes.iter().map(|note| text("li", "", note.clone()))),
            )
            .tag(verdict(
                &document.try_pattern(&built.pattern, scope),
                &document.program().profile.title,
            )),
        Err(reason) => tag("div", "column").tag(
            tag("p", "is-refused")
                .with("role", "alert")
                .text(format!("This cannot be built: {reason}")),
        ),
    };
    let buttons = takers(view, built.as_ref().ok().map(|built| &built.pattern));
    component::<Dialog>(DialogProps {
        id: AttrValue::Static("builder"),
        title: AttrValue::Static("Build a pattern"),
        on_close: view.on_close.clone(),
        close: AttrValue::Static("Close"),
        children: tag("div", "beside").tag(asked).tag(gives).done(),
        buttons: buttons.done(),
    })
}

/// A field with its slider and its number.
fn row(field: &'static Field, form: &Form, desk: &Desk) -> Tag {
    let shown = |thousandths: i64| milliseconds(Micros(thousandths));
    let value = (field.get)(form);
    let (least, most, step) = field.slider;
    let list = format!("builder-{}-usual", field.id);
    let usual = (!field.usual.is_empty()).then(|| {
        let options = field
            .usual
            .iter()
            .map(|value| tag("option", "").with_text("value", shown(*value)));
        tag("datalist", "")
            .with_text("id", list.clone())
            .tags(options)
    });
    let slider = (step > 0).then(|| {
        let slider = tag("input", "grow")
            .with("type", "range")
            .with_text("aria-label", format!("{}, slider", field.label))
            .with_text("min", shown(least))
            .with_text("max", shown(most))
            .with_text("step", shown(step))
            .value(shown(value))
            .on_input(desk.on_input(field.id));
        if field.usual.is_empty() {
            slider
        } else {
            slider.with_text("list", list.clone())
        }
    });
    let id = format!("builder-{}", field.id);
    tag("div", "row nowrap said")
        .key(id.clone())
        .tag(said("label", "", field.label).with_text("for", id.clone()))
        .maybe(slider)
        .maybe(usual)
        .tag(
            number_input(shown(value), step.max(WHOLE), desk.on_change(field.id))
                .with_text("id", id.clone())
                .with_text("aria-describedby", format!("{id}-unit")),
        )
        .tag(said("span", "unit", field.unit).with_text("id", format!("{id}-unit")))
}
