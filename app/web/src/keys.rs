//! The official's key on this phone.
//!
//! Where the browser offers Ed25519 (WebCrypto), the private part is made by
//! the browser, not extractable, and kept as a `CryptoKey`: no code of this
//! page can read it. Elsewhere the key is made from the browser's random
//! bytes, kept as bytes, and used by the engine. [`OfficialKey::kind`] says
//! which. What is signed is verified by the engine in both cases.

use engine::log::{Entry, PublicKey, SecretKey, Unsigned, Verified};
use js_sys::{Array, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

use crate::ledger::Signer;
use crate::store::{Store, Trouble};
use crate::{device, js};

/// What the row of the key is called.
const OFFICIAL: &str = "official";

/// Who keeps the private part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeyKind {
    /// The browser, which never gives it out.
    Browser,
    /// This page, as bytes in the phone's storage.
    Page,
}

impl KeyKind {
    /// What that means, in words.
    pub fn what(self) -> &'static str {
        match self {
            Self::Browser => "The browser holds the secret part of the key and never gives it out.",
            Self::Page => {
                "This browser cannot hold a signing key itself, so the secret part lies in this page's storage on the phone."
            }
        }
    }
}

/// What may be shown of a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyShown {
    /// Its fingerprint.
    pub fingerprint: String,
    /// Six words to read aloud.
    pub phrase: String,
    /// Who keeps the private part.
    pub kind: KeyKind,
}

impl KeyShown {
    /// Of a key.
    pub fn of(key: &OfficialKey) -> Self {
        let fingerprint = key.public().fingerprint();
        Self {
            fingerprint: fingerprint.to_string(),
            phrase: fingerprint.phrase().to_string(),
            kind: key.kind(),
        }
    }
}

#[derive(Clone)]
enum Secret {
    Browser(JsValue),
    Page { seed: [u8; 32], key: Box<SecretKey> },
}

/// A key pair that signs entries.
#[derive(Clone)]
pub struct OfficialKey {
    public: PublicKey,
    secret: Secret,
}

impl OfficialKey {
    /// The key of this phone, made on first use.
    ///
    /// # Errors
    /// When the browser cannot keep it.
    pub async fn of_this_phone(store: &Store) -> Result<Self, Trouble> {
        if let Some(key) = read(store).await? {
            return Ok(key);
        }
        // Some browsers make a key that they cannot store, as in private windows.
        if let Some(key) = by_browser().await
            && let Ok(key) = keep_first(store, key).await
        {
            return Ok(key);
        }
        keep_first(store, Self::from_seed(&device::random_bytes()?)).await
    }

    /// The key that 32 secret bytes give.
    pub fn from_seed(seed: &[u8; 32]) -> Self {
        let key = SecretKey::from_random(seed);
        Self {
            public: key.public(),
            secret: Secret::Page {
                seed: *seed,
                key: Box::new(key),
            },
        }
    }

    /// The public part.
    pub fn public(&self) -> &PublicKey {
        &self.public
    }

    /// Who keeps the private part.
    pub fn kind(&self) -> KeyKind {
        match self.secret {
            Secret::Browser(_) => KeyKind::Browser,
            Secret::Page { .. } => KeyKind::Page,
        }
    }

    /// Signs bytes.
    ///
    /// # Errors
    /// When the browser does not sign.
    pub async fn signature(&self, to_be_signed: &[u8]) -> Result<[u8; 64], Trouble> {
        match &self.secret {
            Secret::Page { key, .. } => Ok(key.sign(to_be_signed)),
            Secret::Browser(key) => {
                let subtle = subtle().ok_or(Trouble::NoStorage)?;
                let bytes = Uint8Array::from(to_be_signed);
                let args = ["Ed25519".into(), key.clone(), bytes.into()];
                let signed = match js::call_wait(&subtle, "sign", &args).await {
                    Some(Ok(signed)) => Uint8Array::new(&signed).to_vec(),
                    Some(Err(error)) => return Err(Trouble::from_js(&error)),
                    None => Vec::new(),
                };
                <[u8; 64]>::try_from(signed.as_slice())
                    .map_err(|_| Trouble::Browser("the browser gave no signature".into()))
            }
        }
    }
}

impl Signer for OfficialKey {
    async fn sign(&self, unsigned: Unsigned) -> Result<Entry<Verified>, Trouble> {
        let signature = self.signature(&unsigned.to_be_signed()).await?;
        unsigned
            .assemble(&signature)
            .map_err(|e| Trouble::Browser(e.to_string()))
    }
}

fn subtle() -> Option<JsValue> {
    let crypto: JsValue = js::window()?.crypto().ok()?.into();
    js::member(&crypto, "subtle")
}

/// A pair made by the browser; `None` where it knows no Ed25519.
async fn by_browser() -> Option<OfficialKey> {
    let subtle = subtle()?;
    let uses: Array = ["sign", "verify"]
        .iter()
        .map(|u| JsValue::from_str(u))
        .collect();
    let args = ["Ed25519".into(), JsValue::FALSE, uses.into()];
    let pair = js::call_wait(&subtle, "generateKey", &args).await?.ok()?;
    let (private, public) = (
        js::member(&pair, "privateKey")?,
        js::member(&pair, "publicKey")?,
    );
    let raw = js::call_wait(&subtle, "exportKey", &["raw".into(), public])
        .await?
        .ok()?;
    let public = PublicKey::from_bytes(&Uint8Array::new(&raw).to_vec()).ok()?;
    Some(OfficialKey {
        public,
        secret: Secret::Browser(private),
    })
}

async fn read(store: &Store) -> Result<Option<OfficialKey>, Trouble> {
    match store.key_row(OFFICIAL).await? {
        Some(row) => Ok(Some(from_row(&row).ok_or(Trouble::KeyUnreadable)?)),
        None => Ok(None),
    }
}

fn from_row(row: &JsValue) -> Option<OfficialKey> {
    let public = Uint8Array::new(&js::member(row, "public")?).to_vec();
    let public = PublicKey::from_bytes(&public).ok()?;
    let secret = js::member(row, "secret")?;
    let secret = match secret.dyn_ref::<Uint8Array>() {
        Some(seed) => {
            let seed = <[u8; 32]>::try_from(seed.to_vec().as_slice()).ok()?;
            Secret::Page {
                seed,
                key: Box::new(SecretKey::from_random(&seed)),
            }
        }
        None => Secret::Browser(secret),
    };
    Some(OfficialKey { public, secret })
}

/// Keeps a key, unless another tab has kept one at the same moment: that one
/// counts then.
async fn keep_first(store: &Store, fresh: OfficialKey) -> Result<OfficialKey, Trouble> {
    match store.keep_key_row(&fresh.to_row()).await {
        Ok(()) => Ok(fresh),
        Err(trouble) => read(store).await?.ok_or(trouble),
    }
}

impl OfficialKey {
    fn to_row(&self) -> JsValue {
        let secret: JsValue = match &self.secret {
            Secret::Browser(key) => key.clone(),
            Secret::Page { seed, .. } => Uint8Array::from(seed.as_slice()).into(),
        };
        let public = Uint8Array::from(self.public.as_bytes().as_slice());
        js::object(&[
            ("name", OFFICIAL.into()),
            ("public", public.into()),
            ("secret", secret),
        ])
    }
}
