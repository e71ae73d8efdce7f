//! Delivery to one collector.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use engine::sync::Uploader;
use leptos::prelude::TimeoutHandle;

use crate::http::Stop;

/// One collector's uploader, its clock and its request.
pub struct Upload {
    /// Address of the collector.
    pub address: String,
    /// What decides.
    pub uploader: RefCell<Uploader>,
    /// It is at work, or asking whether another tab is.
    pub running: Cell<bool>,
    /// The collector is named no longer.
    pub ended: Cell<bool>,
    /// When it is at work again.
    pub timer: Cell<Option<TimeoutHandle>>,
    /// Ends the request that is on its way.
    pub stop: RefCell<Option<Stop>>,
}

impl Upload {
    /// Nothing asked yet.
    pub fn new(address: String) -> Rc<Self> {
        Rc::new(Self {
            address,
            uploader: RefCell::default(),
            running: Cell::new(false),
            ended: Cell::new(false),
            timer: Cell::new(None),
            stop: RefCell::new(None),
        })
    }

    /// Ends the request that is on its way; it counts as lost.
    pub fn cut_off(&self) {
        if let Some(stop) = self.stop.borrow().as_ref() {
            stop.now();
        }
    }

    /// Makes no further request.
    pub fn end(&self) {
        self.ended.set(true);
        if let Some(timer) = self.timer.take() {
            timer.clear();
        }
        self.cut_off();
    }
}
