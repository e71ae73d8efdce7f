//! What reads codes in the camera's picture: the browser where it can, else a
//! worker beside the page, fetched when it is first needed. The page itself
//! only copies pictures.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Array, Function, Promise};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::{js, sharing};

/// The longest side of a picture that is looked at, pixels.
const LONGEST: f64 = 1280.0;
/// The worker's script, in the folder of the app.
const START: &str = "reader-start.js";

/// The reader does not work in this browser.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoReader;

/// What reads codes in a picture.
pub enum Reader {
    /// The browser's own.
    Browser(JsValue),
    /// The app's, in a worker.
    Beside(Worker),
}

impl Reader {
    /// The best that this browser offers.
    ///
    /// # Errors
    /// When the worker does not start.
    pub async fn new() -> Result<Self, NoReader> {
        match detector().await {
            Some(detector) => Ok(Self::Browser(detector)),
            None => Self::beside().await,
        }
    }

    async fn beside() -> Result<Self, NoReader> {
        let worker = Worker::start().ok_or(NoReader)?;
        worker.hear().await?;
        Ok(Self::Beside(worker))
    }

    /// The texts of all codes in the picture now.
    ///
    /// # Errors
    /// When the reader fell over; a new one may do better.
    pub async fn look(&mut self, video: &JsValue) -> Result<Vec<String>, NoReader> {
        let found = match self {
            Self::Browser(detector) => {
                match js::call_wait(detector, "detect", std::slice::from_ref(video)).await {
                    Some(Ok(found)) => {
                        let text = |code: JsValue| js::text(&code, "rawValue");
                        return Ok(Array::from(&found).iter().filter_map(text).collect());
                    }
                    // It is announced, but does not work here.
                    _ => {
                        *self = Self::beside().await?;
                        return Ok(Vec::new());
                    }
                }
            }
            Self::Beside(worker) => {
                let Some(picture) = worker.picture(video).await else {
                    return Ok(Vec::new());
                };
                worker.tell(&picture).ok_or(NoReader)?;
                worker.hear().await?
            }
        };
        Ok(Array::from(&found)
            .iter()
            .filter_map(|text| text.as_string())
            .collect())
    }
}

/// The browser's own reader, where it reads QR codes.
async fn detector() -> Option<JsValue> {
    let window: JsValue = js::window()?.into();
    let class = js::member(&window, "BarcodeDetector")?;
    let formats = js::call_wait(&class, "getSupportedFormats", &[])
        .await?
        .ok()?;
    Array::from(&formats)
        .iter()
        .any(|f| f.as_string().as_deref() == Some("qr_code"))
        .then_some(())?;
    let formats: Array = [JsValue::from("qr_code")].iter().collect();
    sharing::new_object(
        "BarcodeDetector",
        &[js::object(&[("formats", formats.into())])],
    )
}

/// A worker that answers every picture once; ended when this is dropped.
pub struct Worker {
    worker: JsValue,
    heard: Rc<RefCell<Heard>>,
    canvas: Option<JsValue>,
    _listeners: [Closure<dyn FnMut(JsValue)>; 2],
}

/// Answers that came before they were asked for, or who waits for one.
#[derive(Default)]
struct Heard {
    answers: Vec<JsValue>,
    waiting: Option<(Function, Function)>,
    fell: bool,
}

impl Worker {
    fn start() -> Option<Self> {
        let worker = sharing::new_object("Worker", &[START.into()])?;
        let heard = Rc::new(RefCell::new(Heard::default()));
        let hears = heard.clone();
        let message = Closure::<dyn FnMut(JsValue)>::new(move |event: JsValue| {
            let answer = js::member(&event, "data").unwrap_or_default();
            let mut heard = hears.borrow_mut();
            match heard.waiting.take() {
                Some((done, _)) => drop(done.call1(&JsValue::NULL, &answer)),
                None => heard.answers.push(answer),
            }
        });
        let hears = heard.clone();
        let error = Closure::<dyn FnMut(JsValue)>::new(move |_| {
            let mut heard = hears.borrow_mut();
            heard.fell = true;
            if let Some((_, failed)) = heard.waiting.take() {
                let _ = failed.call0(&JsValue::NULL);
            }
        });
        js::set(&worker, "onmessage", message.as_ref().clone());
        js::set(&worker, "onerror", error.as_ref().clone());
        // A picture is handed over as it is where the worker can take it apart.
        let window: JsValue = js::window()?.into();
        let as_it_is = js::member(&window, "OffscreenCanvas").is_some()
            && js::member(&window, "createImageBitmap").is_some();
        let canvas = if as_it_is {
            None
        } else {
            let document = js::window()?.document()?;
            Some(document.create_element("canvas").ok()?.into())
        };
        Some(Self {
            worker,
            heard,
            canvas,
            _listeners: [message, error],
        })
    }

    /// The next answer.
    async fn hear(&self) -> Result<JsValue, NoReader> {
        let heard = self.heard.clone();
        let next = Promise::new(&mut |done, failed| {
            let mut heard = heard.borrow_mut();
            if heard.fell {
                let _ = failed.call0(&JsValue::NULL);
            } else if heard.answers.is_empty() {
                heard.waiting = Some((done, failed));
            } else {
                let _ = done.call1(&JsValue::NULL, &heard.answers.remove(0));
            }
        });
        JsFuture::from(next).await.map_err(|_| NoReader)
    }

    /// Hands a picture over.
    fn tell(&self, picture: &JsValue) -> Option<()> {
        let parts = picture.dyn_ref::<Array>();
        let whole = parts.map_or_else(|| picture.clone(), |parts| parts.get(2));
        let handed: Array = [whole].iter().collect();
        let words = [picture.clone(), handed.into()];
        js::call(&self.worker, "postMessage", &words)?.ok()?;
        Some(())
    }

    /// A copy of the picture now, no larger than is looked at.
    async fn picture(&self, video: &JsValue) -> Option<JsValue> {
        let size = |name| js::member(video, name).and_then(|v| v.as_f64());
        let (width, height) = (size("videoWidth")?, size("videoHeight")?);
        let shrink = (LONGEST / width.max(height)).min(1.0);
        let (width, height) = ((width * shrink).floor(), (height * shrink).floor());
        if width < 1.0 || height < 1.0 {
            return None;
        }
        let Some(canvas) = &self.canvas else {
            let window: JsValue = js::window()?.into();
            let mut words = vec![video.clone()];
            if shrink < 1.0 {
                words.push(js::object(&[
                    ("resizeWidth", width.into()),
                    ("resizeHeight", height.into()),
                ]));
            }
            return js::call_wait(&window, "createImageBitmap", &words)
                .await?
                .ok();
        };
        if js::member(canvas, "width").and_then(|v| v.as_f64()) != Some(width)
            || js::member(canvas, "height").and_then(|v| v.as_f64()) != Some(height)
        {
            js::set(canvas, "width", width);
            js::set(canvas, "height", height);
        }
        let often = js::object(&[("willReadFrequently", true.into())]);
        let pen = js::call(canvas, "getContext", &["2d".into(), often])?.ok()?;
        let (zero, w, h): (JsValue, JsValue, JsValue) = (0.into(), width.into(), height.into());
        let place = [zero, 0.into(), w, h];
        let draw = [std::slice::from_ref(video), &place[..]].concat();
        js::call(&pen, "drawImage", &draw)?.ok()?;
        let pixels = js::call(&pen, "getImageData", &place)?.ok()?;
        let buffer = js::member(&js::member(&pixels, "data")?, "buffer")?;
        let parts: Array = [width.into(), height.into(), buffer].iter().collect();
        Some(parts.into())
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        let _ = js::call(&self.worker, "terminate", &[]);
    }
}
