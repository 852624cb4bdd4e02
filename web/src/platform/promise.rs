//! What not every browser has, called by name, and promises without a runtime for them.
//!
//! Invariant: what is missing is an error, never a panic.

use js_sys::{Array, Function, Reflect};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};

/// What a call came to.
pub(crate) type Outcome = Result<JsValue, JsValue>;

/// A member of an object.
pub(crate) fn get(of: &JsValue, name: &str) -> Outcome {
    Reflect::get(of, &JsValue::from_str(name))
}

/// Calls a method of an object.
pub(crate) fn call(of: &JsValue, name: &str, arguments: &[JsValue]) -> Outcome {
    let function: Function = get(of, name)?.dyn_into()?;
    Reflect::apply(&function, of, &listed(arguments))
}

/// Makes an object of a class of the page's own scope.
pub(crate) fn make(class: &str, arguments: &[JsValue]) -> Outcome {
    let class: Function = get(&js_sys::global(), class)?.dyn_into()?;
    Reflect::construct(&class, &listed(arguments))
}

/// Calls back with what a promise came to.
pub(crate) fn then(promise: Outcome, done: impl FnOnce(Outcome) + 'static) {
    when(promise, Box::new(done));
}

/// What is done with an outcome.
type Done = Box<dyn FnOnce(Outcome)>;

fn when(promise: Outcome, done: Done) {
    let promise = match promise {
        Ok(promise) => promise,
        Err(problem) => return done(Err(problem)),
    };
    let done = Rc::new(Cell::new(Some(done)));
    let (kept, broken) = (done.clone(), done);
    let finish = |done: &Cell<Option<Done>>, outcome| {
        if let Some(done) = done.take() {
            done(outcome);
        }
    };
    let kept = Closure::once_into_js(move |value: JsValue| finish(&kept, Ok(value)));
    let broken = Closure::once_into_js(move |problem: JsValue| finish(&broken, Err(problem)));
    // A promise without this method is none, and nothing comes of it.
    let _ = call(&promise, "then", &[kept, broken]);
}

fn listed(arguments: &[JsValue]) -> Array {
    let list = Array::new();
    for argument in arguments {
        list.push(argument);
    }
    list
}
