//! Reading the other phone's codes by the camera. Pictures are looked at on
//! the phone and kept nowhere.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use engine::link::{Refusal, text};
use js_sys::Array;
use leptos::html::Video;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};

use super::Taking;
use super::reader::{NoReader, Reader};
use crate::parts::{Message, Tone};
use crate::{device, js};

/// Between two looks at the picture: as often as codes change, and half as
/// often again, so that few are missed.
const LOOK_EVERY: Duration = Duration::from_millis(66);
/// Readers that may fall over before the camera is given up.
const TRIES: u8 = 3;

/// Why there is no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum NoPicture {
    NotOffered,
    NotAllowed,
    NoCamera,
    Busy,
    NoReader,
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
                "Allow it in the browser's settings for this site and tap \"Try the camera again\", \
                 or take the lines as text or as a file.",
            ),
            Self::NoCamera => (
                "This phone has no camera that can be used.",
                "Take the lines as text or as a file instead.",
            ),
            Self::Busy => (
                "The camera gives no picture: another app may be using it.",
                "Close that app and tap \"Try the camera again\", or take the lines as text or as a file.",
            ),
            Self::NoReader => (
                "This browser does not start the reader of codes.",
                "Update the browser when there is time; now take the lines as text or as a file.",
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
    let fell = StoredValue::new(0);
    let open = move || {
        wrong.set(None);
        fell.set_value(0);
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
                    *keep.borrow_mut() = Some(opened);
                    // Refused by a browser that starts by itself, and when the picture is gone
                    // before it began.
                    let _ = js::call_wait(&element, "play", &[]).await;
                }
                Err(why) => {
                    wrong.try_set(Some(why));
                }
            }
        });
    };
    Effect::new(move |_| open());
    let looking = Rc::new(Cell::new(false));
    let look = move || {
        let is_on = video
            .get_untracked()
            .is_some_and(|v| js::member(&v, "readyState").and_then(|r| r.as_f64()) >= Some(2.0));
        if !is_on || looking.get() || fell.get_value() >= TRIES || taking.is_done() {
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
                match look_once(idle, &element.unchecked_into()).await {
                    Ok((reader, texts)) => {
                        *kept.borrow_mut() = Some(reader);
                        if !texts.is_empty() {
                            seen.try_set(true);
                            take_in(taking, &texts);
                        }
                    }
                    // One picture may be its end; the next has a new reader.
                    Err(NoReader) => {
                        fell.try_update_value(|fell| *fell += 1);
                        if fell.try_get_value() >= Some(TRIES) {
                            wrong.try_set(Some(NoPicture::NoReader));
                        }
                    }
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
                    <button type="button" class="btn" on:click=move |_| open()>"Try the camera again"</button>
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
                        }>"Light"</button>
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

/// One look, by the reader at hand or a new one.
async fn look_once(
    idle: Option<Reader>,
    video: &JsValue,
) -> Result<(Reader, Vec<String>), NoReader> {
    let mut reader = match idle {
        Some(reader) => reader,
        None => Reader::new().await?,
    };
    let texts = reader.look(video).await?;
    Ok((reader, texts))
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
