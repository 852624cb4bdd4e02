//! Small programs written in a few lines, for the examples of the pages and the tests of the rules.
//!
//! One thing a line; times in ms, levels in per mille:
//!
//! ```text
//! head a front-left red,blue 900cd 2A output=o1 clock=k1
//! lane a b period 500 ms: 0-100 250-350@500 400-450blue offset 125
//! steady a white 300
//! output o1 3A fuse=f1
//! fuse f1 5A
//! alternator 70A
//! other 30A
//! guarantee g alternate a b
//! waiver LW030 output o1
//! head b front-left red x=1.5 y=0.4 carrier=200 current=constant clock=k2:10000
//! output o2 3A wire=16awg/4/wire
//! output o3 3A wire=1.5mm2/4/chassis5
//! battery 110
//! play p period 900 ms: a 0-100; b 300-400
//! dark d a b
//! acts for-a mode=blocking
//! signal mode calling,blocking
//! situation stopped mode=blocking
//! impossible gear=drive,reverse door=open
//! rule LW030 most=2 only_patterns=a when=mode:blocking
//! ```
//!
//! A lane makes a pattern named after its first head and a layer that always plays it; `play` makes one of many lanes, one a head.

use crate::report::{Finding, Report, Verdict};
use lampwright_model::{
    Action, Alternative, Battery, Binding, Clock, ClockId, Color, Condition, CurrentLaw, Dimming,
    Emitter, Fuse, Guarantee, Head, HeadId, Lane, Layer, LayerId, Milliamps, Millicandela,
    Millidegrees, Millimeters, Must, Output, Parts, Pattern, PatternId, Program, Pulse, Return,
    RoleId, RuleChoice, RuleCode, Signal, SignalId, SignalKind, Situation, Target, ValueId, Waiver,
    Wire, WireSize,
};
use lampwright_timing::{Level, Micros};

/// The program of a sketch; its profile has the rule of `code` besides the rules it names.
#[track_caller]
pub(crate) fn program(code: RuleCode, text: &str) -> Program {
    let mut parts = Parts::default();
    parts.profile.rules.push(RuleChoice::of(code));
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let [kind, rest @ ..] = words.as_slice() else {
            continue;
        };
        match *kind {
            "head" => head(&mut parts, rest),
            "lane" => lane(&mut parts, rest),
            "steady" => steady(&mut parts, rest),
            "output" => output(&mut parts, rest),
            "fuse" => parts.vehicle.fuses.push(Fuse {
                id: rest[0].parse().unwrap(),
                label: String::new(),
                rating: Milliamps(number(rest[1], "A")),
            }),
            "alternator" => {
                parts.vehicle.supply.alternator_idle = Some(Milliamps(number(rest[0], "A")));
            }
            "battery" => {
                let minutes = rest[0].parse().unwrap();
                parts.vehicle.supply.battery = Some(Battery::ReserveMinutes(minutes));
            }
            "play" => play(&mut parts, rest),
            "dark" => {
                let heads = targets(&rest[1..]);
                layer(&mut parts, rest[0], Action::Dark { heads });
            }
            "acts" => {
                let (signal, value) = setting(rest[1], '=');
                let acting = parts
                    .layers
                    .iter_mut()
                    .find(|layer| layer.id.as_str() == rest[0]);
                acting.unwrap().when = Condition(vec![Alternative(vec![(signal, vec![value])])]);
            }
            "other" => parts.vehicle.supply.other_load = Milliamps(number(rest[0], "A")),
            "guarantee" => guarantee(&mut parts, rest),
            "waiver" => parts.waivers.push(Waiver {
                rule: rest[0].parse().unwrap(),
                place: (rest.len() > 1).then(|| rest[1..].join(" ")),
                reason: "accepted".into(),
                by: "the shop".into(),
                date: "2030-01-01".into(),
            }),
            "signal" => signal(&mut parts, rest),
            "situation" => parts.situations.push(Situation {
                id: rest[0].parse().unwrap(),
                label: String::new(),
                values: rest[1..].iter().map(|word| setting(word, '=')).collect(),
            }),
            "impossible" => parts.impossible.push(alternative(rest)),
            "rule" => rule(&mut parts, rest),
            other => panic!("no line of a sketch starts with {other}"),
        }
    }
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

/// Values of signals: "gear=drive,reverse door=open".
fn alternative(words: &[&str]) -> Alternative {
    let values = words.iter().map(|word| {
        let (signal, values) = word.split_once('=').unwrap();
        let values = values.split(',').map(|value| value.parse().unwrap());
        (signal.parse().unwrap(), values.collect())
    });
    Alternative(values.collect())
}

/// The findings of one rule on a sketch.
#[track_caller]
pub(crate) fn findings(code: u16, text: &str) -> Vec<Finding> {
    let code = RuleCode(code);
    report(code, text)
        .findings
        .into_iter()
        .filter(|finding| finding.code == code)
        .collect()
}

/// The only finding of one rule on a sketch.
#[track_caller]
pub(crate) fn finding(code: u16, text: &str) -> Finding {
    let mut findings = findings(code, text);
    assert_eq!(findings.len(), 1, "{findings:#?}");
    findings.remove(0)
}

/// The verdict of one rule on a sketch.
#[track_caller]
pub(crate) fn verdict(code: u16, text: &str) -> Verdict {
    report(RuleCode(code), text)
        .outcome(RuleCode(code))
        .unwrap()
        .verdict
        .clone()
}

/// Asserts that one rule passes a sketch, which is more than finding nothing.
#[track_caller]
pub(crate) fn passes(code: u16, text: &str) {
    let verdict = verdict(code, text);
    assert!(matches!(verdict, Verdict::Passed { .. }), "{verdict:?}");
}

/// Asserts that one rule passes some endings of a sketch and finds something in others.
#[track_caller]
pub(crate) fn edges(code: u16, beginning: &str, inside: &[&str], outside: &[&str]) {
    for ending in inside {
        passes(code, &format!("{beginning}{ending}"));
    }
    for ending in outside {
        let text = format!("{beginning}{ending}");
        assert!(
            !findings(code, &text).is_empty(),
            "nothing found in\n{text}"
        );
    }
}

/// The report on a sketch.
#[track_caller]
pub(crate) fn report(code: RuleCode, text: &str) -> Report {
    crate::check(&program(code, text))
}

fn head(parts: &mut Parts, words: &[&str]) {
    let [id, place, colors, rest @ ..] = words else {
        panic!("head ID PLACE COLORS wanted")
    };
    let x = if place.contains("front") {
        2000
    } else if place.contains("rear") {
        -2000
    } else {
        0
    };
    let y = if place.contains("left") {
        800
    } else if place.contains("right") {
        -800
    } else {
        0
    };
    let facing = match (x, y) {
        (1.., _) => 0,
        (..=-1, _) => 180_000,
        (0, 1..) => 90_000,
        (0, _) => 270_000,
    };
    let mut head = Head {
        id: id.parse().unwrap(),
        label: (*id).into(),
        x: Millimeters(x),
        y: Millimeters(y),
        z: Millimeters(1200),
        facing: Millidegrees(facing),
        beam: None,
        emitters: colors
            .split(',')
            .map(|color| Emitter::of(Color::from_name(color).unwrap()))
            .collect(),
        clock: None,
        tags: Vec::new(),
    };
    for word in rest {
        if let Some(output) = word.strip_prefix("output=") {
            for emitter in &mut head.emitters {
                emitter.output = Some(output.parse().unwrap());
            }
        } else if let Some(clock) = word.strip_prefix("clock=") {
            let (clock, tolerance) = clock.split_once(':').unwrap_or((clock, "100"));
            let clock: ClockId = clock.parse().unwrap();
            if parts.vehicle.clocks.iter().all(|known| known.id != clock) {
                parts.vehicle.clocks.push(Clock {
                    id: clock.clone(),
                    label: String::new(),
                    tolerance_ppm: tolerance.parse().unwrap(),
                });
            }
            head.clock = Some(clock);
        } else if let Some(meters) = word.strip_prefix("x=") {
            head.x = Millimeters(number(meters, ""));
        } else if let Some(meters) = word.strip_prefix("y=") {
            head.y = Millimeters(number(meters, ""));
        } else if let Some(hertz) = word.strip_prefix("carrier=") {
            for emitter in &mut head.emitters {
                emitter.dimming = Dimming::Carrier(hertz.parse().unwrap());
            }
        } else if *word == "current=constant" {
            for emitter in &mut head.emitters {
                emitter.current_law = CurrentLaw::ConstantCurrent;
            }
        } else if word.ends_with("cd") {
            for emitter in &mut head.emitters {
                emitter.peak = Some(Millicandela(number(word, "cd")));
            }
        } else {
            for emitter in &mut head.emitters {
                emitter.full_current = Some(Milliamps(number(word, "A")));
            }
        }
    }
    parts.vehicle.heads.push(head);
}

fn lane(parts: &mut Parts, words: &[&str]) {
    let period_at = words.iter().position(|word| *word == "period").unwrap();
    let heads: Vec<&str> = words[..period_at].to_vec();
    let period = Micros(number(words[period_at + 1], ""));
    let mut pulses = Vec::new();
    let mut offset = Micros::ZERO;
    let mut rest = words[period_at + 3..].iter();
    while let Some(word) = rest.next() {
        if *word == "offset" {
            offset = Micros(number(rest.next().unwrap(), ""));
            continue;
        }
        pulses.push(pulse(word));
    }
    let id: PatternId = heads[0].parse().unwrap();
    let role: RoleId = "all".parse().unwrap();
    parts.patterns.push(Pattern {
        id: id.clone(),
        label: String::new(),
        period,
        tick: Micros(1000),
        lanes: vec![Lane {
            role: role.clone(),
            pulses: pulses.into(),
        }],
    });
    let action = Action::Play {
        pattern: id,
        bindings: vec![Binding {
            lane: role,
            heads: targets(&heads),
            color: None,
            offset,
        }],
    };
    layer(parts, heads[0], action);
}

/// One pulse: "250-350@500red".
fn pulse(word: &str) -> Pulse {
    let (times, tail) = match word.find(|sign: char| sign == '@' || sign.is_alphabetic()) {
        Some(at) => word.split_at(at),
        None => (word, ""),
    };
    let (start, end) = times.split_once('-').unwrap();
    let (start, end) = (Micros(number(start, "")), Micros(number(end, "")));
    let (level, color) = match tail.strip_prefix('@') {
        Some(tail) => match tail.find(char::is_alphabetic) {
            Some(at) => tail.split_at(at),
            None => (tail, ""),
        },
        None => ("1000", tail),
    };
    Pulse {
        start,
        length: end - start,
        level: Level::new(level.parse().unwrap()).unwrap(),
        color: (!color.is_empty()).then(|| Color::from_name(color).unwrap()),
    }
}

/// One pattern with a lane for each head: "p period 900 ms: a 0-100; b 300-400".
fn play(parts: &mut Parts, words: &[&str]) {
    let period = Micros(number(words[2], ""));
    let mut lanes = Vec::new();
    let mut bindings = Vec::new();
    for lane in words[4..].join(" ").split(';') {
        let words: Vec<&str> = lane.split_whitespace().collect();
        let role: RoleId = words[0].parse().unwrap();
        lanes.push(Lane {
            role: role.clone(),
            pulses: words[1..].iter().map(|word| pulse(word)).collect(),
        });
        bindings.push(Binding {
            lane: role,
            heads: targets(&words[..1]),
            color: None,
            offset: Micros::ZERO,
        });
    }
    let id: PatternId = words[0].parse().unwrap();
    parts.patterns.push(Pattern {
        id: id.clone(),
        label: String::new(),
        period,
        tick: Micros(1000),
        lanes,
    });
    let action = Action::Play {
        pattern: id,
        bindings,
    };
    layer(parts, words[0], action);
}

/// A wire: "16awg/4/wire", "1.5mm2/4/chassis5" with milliohms.
fn wire(word: &str) -> Wire {
    let mut words = word.split('/');
    let size = words.next().unwrap();
    let size = match size.strip_suffix("awg") {
        Some(gauge) => WireSize::Gauge(gauge.parse().unwrap()),
        None => WireSize::ThousandthsMm2(u32::try_from(number(size, "mm2")).unwrap()),
    };
    let length = Millimeters(number(words.next().unwrap(), ""));
    let return_path = match words.next().unwrap().strip_prefix("chassis") {
        Some(milliohms) => Return::Chassis(milliohms.parse().unwrap()),
        None => Return::Wire,
    };
    Wire {
        size,
        length,
        return_path,
    }
}

fn steady(parts: &mut Parts, words: &[&str]) {
    let [id, rest @ ..] = words else {
        panic!("steady ID wanted")
    };
    let action = Action::Hold {
        heads: targets(&[*id]),
        color: rest.iter().find_map(|word| Color::from_name(word)),
        level: rest
            .iter()
            .find_map(|word| word.parse().ok())
            .map_or(Level::FULL, |level| Level::new(level).unwrap()),
    };
    layer(parts, id, action);
}

fn layer(parts: &mut Parts, head: &str, action: Action) {
    let id: LayerId = format!("for-{head}").parse().unwrap();
    parts.layers.push(Layer {
        id,
        label: String::new(),
        when: Condition::always(),
        action,
    });
}

fn output(parts: &mut Parts, words: &[&str]) {
    parts.vehicle.outputs.push(Output {
        id: words[0].parse().unwrap(),
        label: String::new(),
        rating: Milliamps(number(words[1], "A")),
        fuse: words
            .iter()
            .find_map(|word| word.strip_prefix("fuse="))
            .map(|fuse| fuse.parse().unwrap()),
        wire: words
            .iter()
            .find_map(|word| word.strip_prefix("wire="))
            .map(wire),
        is_shared_within_head: true,
    });
}

fn guarantee(parts: &mut Parts, words: &[&str]) {
    let [id, must, rest @ ..] = words else {
        panic!("guarantee ID MUST HEADS wanted")
    };
    let (word, value) = must.split_once('=').unwrap_or((must, ""));
    let level = || Level::new(value.parse().unwrap()).unwrap();
    let colors = || {
        value
            .split(',')
            .map(|color| Color::from_name(color).unwrap())
            .collect()
    };
    parts.guarantees.push(Guarantee {
        id: id.parse().unwrap(),
        label: String::new(),
        when: Condition::always(),
        heads: targets(rest),
        must: match word {
            "be-dark" => Must::BeDark,
            "be-steady" => Must::BeSteady,
            "show-only" => Must::ShowOnly(colors()),
            "show-never" => Must::ShowNever(colors()),
            "level-at-most" => Must::LevelAtMost(level()),
            "level-at-least" => Must::LevelAtLeast(level()),
            "play-in-step" => Must::PlayInStep,
            "alternate" => Must::Alternate,
            "total-current-at-most" => Must::TotalCurrentAtMost(Milliamps(number(value, "A"))),
            other => panic!("no guarantee is {other}"),
        },
    });
}

fn rule(parts: &mut Parts, words: &[&str]) {
    let code: RuleCode = words[0].parse().unwrap();
    let rules = &mut parts.profile.rules;
    if rules.iter().all(|choice| choice.code != code) {
        rules.push(RuleChoice::of(code));
    }
    let choice = rules.iter_mut().find(|choice| choice.code == code).unwrap();
    for word in &words[1..] {
        if *word == "confirmed" {
            choice.confirmed = Some(lampwright_model::Confirmation {
                source: "the agency's own copy".into(),
                by: "the shop".into(),
                date: "2030-01-01".into(),
            });
            continue;
        }
        match word.split_once('=').unwrap() {
            ("only_patterns", id) => choice.only_patterns.push(id.parse().unwrap()),
            ("except_patterns", id) => choice.except_patterns.push(id.parse().unwrap()),
            ("when", word) => {
                let (signal, value) = setting(word, ':');
                let alternative = Alternative(vec![(signal, vec![value])]);
                choice.when = Some(Condition(vec![alternative]));
            }
            ("heads", id) => choice.heads.extend(targets(&[id])),
            (name, value) => choice.parameters.push((name.into(), number(value, ""))),
        }
    }
}

fn signal(parts: &mut Parts, words: &[&str]) {
    parts.signals.push(Signal {
        id: words[0].parse().unwrap(),
        label: String::new(),
        kind: SignalKind::Switch,
        values: words[1]
            .split(',')
            .map(|word| word.parse().unwrap())
            .collect(),
        default: 0,
        on_lost: 0,
    });
}

/// A signal and one of its values: "mode=blocking".
fn setting(word: &str, between: char) -> (SignalId, ValueId) {
    let (signal, value) = word.split_once(between).unwrap();
    (signal.parse().unwrap(), value.parse().unwrap())
}

fn targets(heads: &[&str]) -> Vec<Target> {
    heads
        .iter()
        .map(|head| match *head {
            "all" => Target::All,
            id => Target::Head(id.parse::<HeadId>().unwrap()),
        })
        .collect()
}

/// Thousandths of a number with an optional unit after it.
fn number(word: &str, unit: &str) -> i64 {
    let digits = word.strip_suffix(unit).unwrap();
    if let Some(digits) = digits.strip_prefix('-') {
        return -number(digits, "");
    }
    let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
    let thousandths = format!("{rest:0<3}");
    whole.parse::<i64>().unwrap() * 1000 + thousandths.parse::<i64>().unwrap()
}
