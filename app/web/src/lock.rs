//! One holder among all tabs, by Web Locks.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Function, Promise};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::js;

/// A lock that this tab holds. It is given back when dropped, also when the
/// tab dies, and lost when another tab takes over.
pub struct Lock {
    release: Function,
}

impl Lock {
    /// Asks for a lock: `None` when another tab has it and `take_over` is
    /// false. `lost` is called when another tab takes it later. In a browser
    /// without locks everyone gets it.
    pub async fn ask(name: &str, take_over: bool, lost: impl FnOnce() + 'static) -> Option<Self> {
        let Some(locks) = js::navigator().and_then(|n| js::member(&n, "locks")) else {
            return Some(Self { release: noop() });
        };
        // Resolved with the release function, or null when the lock is held elsewhere.
        let answer: Rc<RefCell<Option<Function>>> = Rc::default();
        let hold = answer.clone();
        let answered = Promise::new(&mut |resolve, _| *hold.borrow_mut() = Some(resolve));
        let granted = Closure::once_into_js(move |lock: JsValue| -> JsValue {
            let tell = answer.borrow_mut().take();
            let mut release = None;
            let held = Promise::new(&mut |resolve, _| release = Some(resolve));
            let given = !lock.is_null() && !lock.is_undefined();
            if let Some(tell) = tell {
                let reply = if given {
                    release.map_or(JsValue::NULL, Into::into)
                } else {
                    JsValue::NULL
                };
                let _ = tell.call1(&JsValue::NULL, &reply);
            }
            if given { held.into() } else { JsValue::NULL }
        });
        let how = if take_over {
            js::object(&[("steal", true.into())])
        } else {
            js::object(&[("ifAvailable", true.into())])
        };
        let request = js::call(&locks, "request", &[name.into(), how, granted]);
        let request: Promise = request?.ok()?.dyn_into().ok()?;
        // The request ends in an error when another tab steals the lock.
        let stolen = Closure::once_into_js(move |_: JsValue| lost());
        let _ = js::call(&request, "catch", &[stolen]);
        let release: Function = JsFuture::from(answered).await.ok()?.dyn_into().ok()?;
        Some(Self { release })
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        let _ = self.release.call0(&JsValue::NULL);
    }
}

fn noop() -> Function {
    Closure::once_into_js(|| {}).unchecked_into()
}
