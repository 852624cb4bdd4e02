//! Components of the page by one component of the framework.
//!
//! The framework compiles what mounts, updates and removes a component once more for each; here all share one, and each only adds how it renders.
//!
//! Invariant: hooks belong to one kind of component, and are made anew when another kind takes the place.
//! Absent: components with messages of their own; none here has any.

use std::any::{Any, TypeId};
use std::rc::Rc;
use yew::functional::{FunctionComponent, FunctionProvider, HookContext};
use yew::html::HtmlResult;
use yew::prelude::*;
use yew::virtual_dom::{Key, VComp, VNode};

/// A component.
///
/// The kind is its key, so that another kind in the same place begins anew with elements of its own.
/// Several of one kind among the same siblings go by their places, as if they had no key; where they can come, go or change places, each stands in an element with a key of its own.
pub(crate) fn component<C: FunctionProvider + 'static>(props: C::Properties) -> VNode {
    let run: fn(&mut HookContext, &C::Properties) -> HtmlResult = C::run;
    part(Rc::new(Held::<C>(props)), run as usize)
}

/// The key lets another kind in the same place start anew, as another component would.
#[inline(never)]
fn part(content: Rc<dyn Content>, kind: usize) -> VNode {
    VComp::new::<Part>(Rc::new(Props { content }), Some(Key::from(kind))).into()
}

/// Properties of one kind of component.
struct Held<C: FunctionProvider>(C::Properties);

/// How a component renders with its properties.
trait Content {
    fn kind(&self) -> TypeId;
    fn properties(&self) -> &dyn Any;
    fn is_same(&self, properties: &dyn Any) -> bool;
    fn render(&self, context: &mut HookContext) -> HtmlResult;
}

impl<C: FunctionProvider + 'static> Content for Held<C> {
    fn kind(&self) -> TypeId {
        TypeId::of::<C>()
    }

    fn properties(&self) -> &dyn Any {
        &self.0
    }

    fn is_same(&self, properties: &dyn Any) -> bool {
        properties
            .downcast_ref::<C::Properties>()
            .is_some_and(|other| self.0 == *other)
    }

    fn render(&self, context: &mut HookContext) -> HtmlResult {
        C::run(context, &self.0)
    }
}

/// Properties of the one component.
#[derive(Properties)]
struct Props {
    content: Rc<dyn Content>,
}

impl PartialEq for Props {
    fn eq(&self, other: &Self) -> bool {
        self.content.kind() == other.content.kind()
            && self.content.is_same(other.content.properties())
    }
}

/// The one component.
struct Part {
    hooks: FunctionComponent<Self>,
}

impl FunctionProvider for Part {
    type Properties = Props;

    fn run(context: &mut HookContext, props: &Props) -> HtmlResult {
        props.content.render(context)
    }
}

impl BaseComponent for Part {
    type Message = ();
    type Properties = Props;

    fn create(context: &Context<Self>) -> Self {
        Self {
            hooks: FunctionComponent::new(context),
        }
    }

    fn update(&mut self, _: &Context<Self>, (): ()) -> bool {
        true
    }

    fn changed(&mut self, context: &Context<Self>, earlier: &Props) -> bool {
        if context.props().content.kind() != earlier.content.kind() {
            self.hooks.destroy();
            self.hooks = FunctionComponent::new(context);
        }
        true
    }

    fn view(&self, context: &Context<Self>) -> HtmlResult {
        self.hooks.render(context.props())
    }

    fn rendered(&mut self, _: &Context<Self>, _: bool) {
        self.hooks.rendered();
    }

    fn destroy(&mut self, _: &Context<Self>) {
        self.hooks.destroy();
    }

    fn prepare_state(&self) -> Option<String> {
        None
    }
}
