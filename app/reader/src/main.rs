//! The reader of codes, as a Web Worker: pictures in, texts out. It is a module
//! of its own because only a camera needs it, and because finding a code takes
//! longer than a frame of the screen may.
//!
//! ```text
//! to it      ImageBitmap                   a picture, handed over
//!            [width, height, ArrayBuffer]  the same from a canvas: red, green, blue, opacity
//! from it    "ready"                       once, when it can take pictures
//!            [* text]                      one answer for each picture, in order
//! ```

use engine::link::qr::{Scanner, luma};
use js_sys::{Array, Uint8Array};
use wasm_bindgen::prelude::{Closure, JsValue};
use wasm_bindgen::{Clamped, JsCast as _};
use web_sys::{
    DedicatedWorkerGlobalScope, ImageBitmap, MessageEvent, OffscreenCanvas,
    OffscreenCanvasRenderingContext2d,
};

fn main() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else {
        return;
    };
    let mut desk = Desk::default();
    let answers = scope.clone();
    let takes = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let texts: Array = desk.read(&event.data()).unwrap_or_default();
        // Texts can always be handed over.
        let _ = answers.post_message(&texts);
    });
    scope.set_onmessage(Some(takes.as_ref().unchecked_ref()));
    // It listens for as long as the worker lives.
    takes.forget();
    let _ = scope.post_message(&"ready".into());
}

/// What the worker keeps from one picture to the next.
#[derive(Default)]
struct Desk {
    scanner: Scanner,
    canvas: Option<OffscreenCanvas>,
}

impl Desk {
    /// The texts of all codes in a picture; `None` when it is none.
    fn read(&mut self, picture: &JsValue) -> Option<Array> {
        let (width, height, pixels) = match picture.dyn_ref::<ImageBitmap>() {
            Some(bitmap) => self.pixels(bitmap)?,
            None => {
                let parts = picture.dyn_ref::<Array>()?;
                let side = |at| parts.get(at).as_f64().map(|side| side as usize);
                (side(0)?, side(1)?, Uint8Array::new(&parts.get(2)).to_vec())
            }
        };
        let found = self.scanner.scan(width, height, &luma(&pixels));
        let texts = found.into_iter().filter_map(|b| String::from_utf8(b).ok());
        Some(texts.map(JsValue::from).collect())
    }

    fn pixels(&mut self, bitmap: &ImageBitmap) -> Option<(usize, usize, Vec<u8>)> {
        let (width, height) = (bitmap.width(), bitmap.height());
        let canvas = match &self.canvas {
            Some(canvas) if canvas.width() == width && canvas.height() == height => canvas,
            _ => self
                .canvas
                .insert(OffscreenCanvas::new(width, height).ok()?),
        };
        let often = js_sys::Object::new();
        let _ = js_sys::Reflect::set(&often, &"willReadFrequently".into(), &true.into());
        let pen = canvas
            .get_context_with_context_options("2d", &often)
            .ok()??
            .unchecked_into::<OffscreenCanvasRenderingContext2d>();
        pen.draw_image_with_image_bitmap(bitmap, 0.0, 0.0).ok()?;
        // Given back at once; pictures are large and many.
        bitmap.close();
        let (w, h) = (f64::from(width), f64::from(height));
        let Clamped(pixels) = pen.get_image_data(0.0, 0.0, w, h).ok()?.data();
        Some((width as usize, height as usize, pixels))
    }
}
