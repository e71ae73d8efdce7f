//! Reading the other phone's codes by the camera. Pictures are looked at on
//! the phone and kept nowhere.

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use engine::link::qr::{Scanner, luma};
use engine::link::{Refusal, text};
use js_sys::{Array, Uint8Array};
use leptos::html::Video;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};

use super::Taking;
use crate::parts::{Message, Tone};
use crate::{device, hand, js};

/// Between two looks at the picture: as often as codes change, and half as
/// often again, so that few are missed.
const LOOK_EVERY: Duration = Duration::from_millis(66);
/// The longest side of a picture that is looked at, pixels.
const LONGEST: f64 = 1280.0;

/// Why there is no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum NoPicture {
    NotOffered,
    NotAllowed,
    NoCamera,
    Busy,
}

impl NoPicture {
    fn from_js(error: &JsValue) -> Self {
        match js::text(error, "name").unwrap_or_default().as_str() {
            "NotAllowedError" | "SecurityError" => Self::NotAllowed,
            "NotFoundError" | "OverconstrainedError" => Self::NoCamera,
            _ => Self::Busy,
        }
    }

    const fn says(self) -> (&'static str, &'static str) {
        match self {
            Self::NotOffered => (
                "This browser offers no camera to this page.",
                "Take the lines as text or as a file instead.",
            ),
            Self::NotAllowed => (
                "The camera is not allowed for this page.",
                "Allow it in the browser's settings for this site and tap \"try the camera again\", \
                 or take the lines as text or as a file.",
            ),
            Self::NoCamera => (
                "This phone has no camera that can be used.",
                "Take the lines as text or as a file instead.",
            ),
            Self::Busy => (
                "The camera gives no picture: another app may be using it.",
                "Close that app and tap \"try the camera again\", or take the lines as text or as a file.",
            ),
        }
    }
}

/// Whether the browser offers cameras at all.
pub fn is_offered() -> bool {
    js::navigator()
        .and_then(|n| js::member(&n, "mediaDevices"))
        .is_some()
}

/// The picture of the rear camera, while it is wanted; the camera is given
/// back when this is dropped.
struct Stream(JsValue);

impl Stream {
    async fn open() -> Result<Self, NoPicture> {
        let devices = js::navigator().and_then(|n| js::member(&n, "mediaDevices"));
        let devices = devices.ok_or(NoPicture::NotOffered)?;
        let ideal = |v: JsValue| js::object(&[("ideal", v)]);
        let video = js::object(&[
            ("facingMode", ideal("environment".into())),
            ("width", ideal(1280.into())),
            ("height", ideal(1280.into())),
        ]);
        let wanted = js::object(&[("video", video), ("audio", false.into())]);
        match js::call_wait(&devices, "getUserMedia", &[wanted]).await {
            Some(Ok(stream)) => Ok(Self(stream)),
            Some(Err(error)) => Err(NoPicture::from_js(&error)),
            None => Err(NoPicture::NotOffered),
        }
    }

    fn track(&self) -> Option<JsValue> {
        let tracks = js::call(&self.0, "getVideoTracks", &[])?.ok()?;
        js::member(&tracks, "0")
    }

    /// What the camera offers beyond the picture: a light, and how far it zooms.
    fn offers(&self) -> (bool, Option<(f64, f64)>) {
        let can = self
            .track()
            .and_then(|t| js::call(&t, "getCapabilities", &[])?.ok());
        let Some(can) = can else { return (false, None) };
        let torch = js::member(&can, "torch").is_some_and(|v| v.is_truthy());
        let zoom = js::member(&can, "zoom").and_then(|zoom| {
            let end = |name| js::member(&zoom, name)?.as_f64();
            Some((end("min")?, end("max")?))
        });
        (torch, zoom.filter(|(min, max)| max > min))
    }
}

/// Asks a camera for a setting; one that does not do it stays as it was.
async fn ask_of(track: JsValue, name: &str, value: JsValue) {
    let one: Array = [js::object(&[(name, value)])].iter().collect();
    let how = js::object(&[("advanced", one.into())]);
    let _ = js::call_wait(&track, "applyConstraints", &[how]).await;
}

impl Drop for Stream {
    fn drop(&mut self) {
        let Some(Ok(tracks)) = js::call(&self.0, "getTracks", &[]) else {
            return;
        };
        for track in Array::from(&tracks).iter() {
            let _ = js::call(&track, "stop", &[]);
        }
    }
}

/// What reads codes in a picture: the browser where it can, else the engine.
struct Reader {
    detector: Option<JsValue>,
    scanner: Scanner,
    canvas: Option<JsValue>,
}

impl Reader {
    async fn new() -> Self {
        Self {
            detector: detector().await,
            scanner: Scanner::new(),
            canvas: js::window()
                .and_then(|w| w.document())
                .and_then(|d| d.create_element("canvas").ok())
                .map(Into::into),
        }
    }

    /// The texts of all codes in the picture now.
    async fn look(&mut self, video: &JsValue) -> Vec<String> {
        if let Some(detector) = self.detector.clone() {
            match js::call_wait(&detector, "detect", std::slice::from_ref(video)).await {
                Some(Ok(found)) => {
                    let text = |code: JsValue| js::text(&code, "rawValue");
                    return Array::from(&found).iter().filter_map(text).collect();
                }
                // It is announced, but does not work here.
                _ => self.detector = None,
            }
        }
        self.scan(video).unwrap_or_default()
    }

    fn scan(&mut self, video: &JsValue) -> Option<Vec<String>> {
        let canvas = self.canvas.clone()?;
        let size = |name| js::member(video, name).and_then(|v| v.as_f64());
        let (width, height) = (size("videoWidth")?, size("videoHeight")?);
        let shrink = (LONGEST / width.max(height)).min(1.0);
        let (width, height) = ((width * shrink).floor(), (height * shrink).floor());
        if width < 1.0 || height < 1.0 {
            return None;
        }
        if js::member(&canvas, "width").and_then(|v| v.as_f64()) != Some(width)
            || js::member(&canvas, "height").and_then(|v| v.as_f64()) != Some(height)
        {
            js::set(&canvas, "width", width);
            js::set(&canvas, "height", height);
        }
        let often = js::object(&[("willReadFrequently", true.into())]);
        let pen = js::call(&canvas, "getContext", &["2d".into(), often])?.ok()?;
        let (zero, w, h) = (
            JsValue::from(0),
            JsValue::from(width),
            JsValue::from(height),
        );
        let draw = [
            video.clone(),
            zero.clone(),
            zero.clone(),
            w.clone(),
            h.clone(),
        ];
        js::call(&pen, "drawImage", &draw)?.ok()?;
        let picture = js::call(&pen, "getImageData", &[zero.clone(), zero, w, h])?.ok()?;
        let bytes = Uint8Array::new(&js::member(&js::member(&picture, "data")?, "buffer")?);
        let grey = luma(&bytes.to_vec());
        let found = self.scanner.scan(width as usize, height as usize, &grey);
        Some(
            found
                .into_iter()
                .filter_map(|b| String::from_utf8(b).ok())
                .collect(),
        )
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
    hand::new_object(
        "BarcodeDetector",
        &[js::object(&[("formats", formats.into())])],
    )
}

type Shared<T> = StoredValue<Rc<RefCell<Option<T>>>, LocalStorage>;

/// The picture, and what it brings.
#[component]
pub fn Camera(taking: Taking) -> impl IntoView {
    let video = NodeRef::<Video>::new();
    let wrong = RwSignal::new(None::<NoPicture>);
    let seen = RwSignal::new(false);
    let offers = RwSignal::new((false, None::<(f64, f64)>));
    let light = RwSignal::new(false);
    let stream: Shared<Stream> = StoredValue::new_local(Rc::default());
    let reader: Shared<Reader> = StoredValue::new_local(Rc::default());
    let open = move || {
        wrong.set(None);
        spawn_local(async move {
            match Stream::open().await {
                Ok(opened) => {
                    let (Some(Some(element)), Some(keep)) =
                        (video.try_get_untracked(), stream.try_get_value())
                    else {
                        return;
                    };
                    offers.set(opened.offers());
                    js::set(&element, "srcObject", opened.0.clone());
                    // A browser that starts by itself refuses a second start.
                    let _ = js::call(&element, "play", &[]);
                    *keep.borrow_mut() = Some(opened);
                }
                Err(why) => {
                    wrong.try_set(Some(why));
                }
            }
        });
    };
    Effect::new(move |_| open());
    let looking = Rc::new(core::cell::Cell::new(false));
    let look = move || {
        let is_on = video
            .get_untracked()
            .is_some_and(|v| js::member(&v, "readyState").and_then(|r| r.as_f64()) >= Some(2.0));
        if !is_on || looking.get() || taking.is_done() {
            return;
        }
        looking.set(true);
        let looking = looking.clone();
        spawn_local(async move {
            if let (Some(Some(element)), Some(kept)) =
                (video.try_get_untracked(), reader.try_get_value())
            {
                // Taken out while it works; only one look is under way at a time.
                let idle = kept.borrow_mut().take();
                let mut at = match idle {
                    Some(reader) => reader,
                    None => Reader::new().await,
                };
                let texts = at.look(&element.unchecked_into()).await;
                *kept.borrow_mut() = Some(at);
                if !texts.is_empty() {
                    seen.try_set(true);
                    take_in(taking, &texts);
                }
            }
            looking.set(false);
        });
    };
    let ticking = set_interval_with_handle(look, LOOK_EVERY);
    on_cleanup(move || {
        if let Ok(ticking) = ticking {
            ticking.clear();
        }
        if let Some(kept) = stream.try_get_value() {
            kept.borrow_mut().take();
        }
    });
    device::awake_while_mounted(true);
    let ask = move |name: &'static str, value: JsValue| {
        let kept = stream.try_get_value();
        if let Some(track) = kept.and_then(|k| k.borrow().as_ref().and_then(Stream::track)) {
            spawn_local(ask_of(track, name, value));
        }
    };
    view! {
        {move || wrong.get().map(|why| {
            let (what, next) = why.says();
            view! {
                <Message tone=Tone::Bad what=what.to_string() next=next.to_string()>
                    <button type="button" class="btn" on:click=move |_| open()>"try the camera again"</button>
                </Message>
            }
        })}
        <div class="picture" hidden=move || wrong.get().is_some()>
            <video node_ref=video muted playsinline autoplay aria-label="Picture of the camera"></video>
        </div>
        <Show when=move || wrong.get().is_none()>
            <p role="status">{move || if seen.get() {
                "Reading. Hold still until it is all here."
            } else {
                "Point the camera at the code on the other phone, so that it fills the picture."
            }}</p>
        </Show>
        {move || {
            let (torch, zoom) = offers.get();
            view! {
                {torch.then(|| view! {
                    <button type="button" class="btn wide" aria-pressed=move || light.get().to_string()
                        on:click=move |_| {
                            light.update(|l| *l = !*l);
                            ask("torch", light.get_untracked().into());
                        }>"light"</button>
                })}
                {zoom.map(|(min, max)| view! {
                    <label class="field">
                        <span class="label">"nearer"</span>
                        <input type="range" min=min.to_string() max=max.to_string() step="any" value=min.to_string()
                            on:input:target=move |ev| {
                                if let Ok(to) = ev.target().value().parse::<f64>() {
                                    ask("zoom", to.into());
                                }
                            }/>
                    </label>
                })}
            }
        }}
    }
}

fn take_in(taking: Taking, texts: &[String]) {
    let (mut packets, mut refused): (Vec<_>, Vec<Refusal>) = Default::default();
    for text in texts {
        match text::read_line(text) {
            Ok(packet) => packets.push(packet),
            Err(why) => refused.push(why),
        }
    }
    taking.pieces(&packets, &refused);
}
