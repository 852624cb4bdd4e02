//! Rows of conditions on signals: when something holds, and what cannot happen.

use super::{Control, Form, How, below, button};

impl Form<'_> {
    pub(super) fn when(&mut self, path: &str, label: &str) {
        let is_always = !self.thing.has(path);
        let n_alternatives = if is_always {
            1
        } else {
            self.thing.n_items(path)
        };
        let title = match n_alternatives {
            0 => format!("{label}, never"),
            _ if is_always => format!("{label}, always as nothing is checked"),
            _ => label.to_owned(),
        };
        self.push(&title, path, How::Text, Control::Title);
        for index in 0..n_alternatives {
            let path = below(path, &index.to_string());
            if index > 0 {
                self.push("Or when", &path, How::Text, Control::Title);
            }
            self.signals(&path);
            if n_alternatives > 1 {
                let words = format!("Remove alternative {}", index + 1);
                self.push(&words, &path, How::Remove, button());
            }
        }
        let add = Control::Button("{}".into());
        self.push("Add an alternative, or when", path, How::Add, add);
    }

    /// The values of every signal, to check those that are allowed.
    pub(super) fn signals(&mut self, path: &str) {
        for signal in &self.parts.signals {
            let values = signal.values.iter();
            let options = values
                .map(|value| (value.to_string(), value.to_string()))
                .collect();
            self.checks(&signal.label, &below(path, signal.id.as_str()), options);
        }
    }

    pub(super) fn impossible(&mut self, path: &str) {
        if self.parts.signals.is_empty() {
            let words = "There is no signal yet: add one first";
            self.push(words, path, How::Text, Control::Title);
        }
        let n_conditions = self.thing.n_items(path);
        for index in 0..n_conditions {
            let path = below(path, &index.to_string());
            let number = index + 1;
            let words =
                format!("Condition {number}, a state in which all of this holds cannot happen");
            self.push(&words, &path, How::Text, Control::Title);
            self.signals(&path);
            let remove = format!("Remove condition {number}");
            self.push(&remove, &path, How::Remove, button());
        }
        if !self.parts.signals.is_empty() {
            let path = below(path, &n_conditions.to_string());
            let words = "Another condition, check values that never come together";
            self.push(words, &path, How::Text, Control::Title);
            self.signals(&path);
        }
    }
}
