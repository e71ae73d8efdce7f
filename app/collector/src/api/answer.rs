//! What is answered when something cannot be done: a status, and a sentence.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use engine::sync::SAYS;

use crate::collector::StoreDown;
use crate::orders::ERASED;
use crate::standings::NoView;

/// Why a request is not answered with what it asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RequestError {
    /// The path names nothing here.
    NotFound,
    /// Whoever runs the service took it out for good.
    Erased,
    /// Whoever runs the service lets it take nothing just now.
    Paused,
    /// A part of the path or the query is not of the right form.
    BadAddress,
    /// The body is of another type than this.
    WrongType(&'static str),
    /// More than so many bytes.
    TooLarge(usize),
    /// The body did not arrive whole.
    CutShort,
    /// The body did not arrive in time.
    TooSlow,
    /// From a page of an address that may not write here.
    ForeignPage,
    /// Only for the event's officials.
    OfficialsOnly,
    /// The log holds the report of an incident.
    IncidentReported,
    /// The collector does not know its own address, so no pass can be for it.
    Nameless,
    /// Too many at a time; seconds to wait.
    TooMany(u64),
    /// The storage does not answer.
    StoreDown,
    /// A fault of the collector.
    Failed,
}

impl From<NoView> for RequestError {
    fn from(why: NoView) -> Self {
        match why {
            NoView::NotServed => Self::NotFound,
            NoView::StoreDown => Self::StoreDown,
            NoView::Failed => Self::Failed,
        }
    }
}

impl From<StoreDown> for RequestError {
    fn from(_: StoreDown) -> Self {
        Self::StoreDown
    }
}

impl IntoResponse for RequestError {
    fn into_response(self) -> Response {
        let (status, text) = match self {
            Self::NotFound => (StatusCode::NOT_FOUND, "There is nothing under this address.".to_owned()),
            Self::Erased => (StatusCode::GONE, ERASED.to_owned()),
            Self::Paused => (StatusCode::SERVICE_UNAVAILABLE, "Whoever runs this collector has paused it: what is kept is served, and nothing is taken.".to_owned()),
            Self::BadAddress => (StatusCode::BAD_REQUEST, "The address is not of the form that PROTOCOL.md describes.".to_owned()),
            Self::WrongType(wanted) => (StatusCode::UNSUPPORTED_MEDIA_TYPE, format!("Send it as {wanted}.")),
            Self::TooLarge(most) => (StatusCode::PAYLOAD_TOO_LARGE, format!("At most {most} bytes at a time: send fewer entries.")),
            Self::CutShort => (StatusCode::BAD_REQUEST, "The request stopped in the middle: send it again.".to_owned()),
            Self::TooSlow => (StatusCode::REQUEST_TIMEOUT, "The request took too long: send it again.".to_owned()),
            Self::ForeignPage => (
                StatusCode::FORBIDDEN,
                "Pages of that address may not use this collector: start it with --allow-origin.".to_owned(),
            ),
            Self::OfficialsOnly => (
                StatusCode::UNAUTHORIZED,
                "Names are kept short in this event: only its officials may read this, with a signed request.".to_owned(),
            ),
            Self::IncidentReported => (
                StatusCode::UNAUTHORIZED,
                "This log holds the report of an incident: only officials whom the charter lists and the one who wrote it may read it, with a signed request. The game's page and report.json show the rest.".to_owned(),
            ),
            Self::Nameless => (
                StatusCode::UNAUTHORIZED,
                "Only the event's officials may read this, and this collector was not told its own address: whoever runs it starts it with --own-address.".to_owned(),
            ),
            Self::TooMany(seconds) => (StatusCode::TOO_MANY_REQUESTS, format!("Too many requests: wait {seconds} s.")),
            Self::StoreDown => (StatusCode::SERVICE_UNAVAILABLE, "The storage does not answer just now: try again.".to_owned()),
            Self::Failed => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "The results could not be computed, a fault of the collector: tell whoever runs it.".to_owned(),
            ),
        };
        let mut response = (
            status,
            [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
            [SAYS, &text].concat(),
        )
            .into_response();
        let headers = response.headers_mut();
        match self {
            Self::TooMany(seconds) => {
                headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
            }
            Self::StoreDown => {
                headers.insert(header::RETRY_AFTER, HeaderValue::from(5));
            }
            Self::OfficialsOnly | Self::IncidentReported | Self::Nameless => {
                let scheme = HeaderValue::from_static("Chalkbook");
                headers.insert(header::WWW_AUTHENTICATE, scheme);
            }
            _ => {}
        }
        response
    }
}

/// Every other path under `/api`.
pub async fn nothing_here() -> RequestError {
    RequestError::NotFound
}
