//! The commands over HTTP: the same names, arguments and answers as through the window's bridge.

use std::sync::Arc;

use app::error::AppError;
use axum::Json;
use axum::body::{Bytes, HttpBody as _};
use axum::extract::{FromRequest as _, Path, Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse as _, Response};
use serde_json::Value;

use super::Served;
use super::gate::from_elsewhere;
use super::refusal::Refusal;

/// Photos and loggers' files travel inside JSON, a third larger than they are.
pub(super) const LARGEST_BODY: usize = 32 * 1024 * 1024;

/// Carries out one command. The app may wait for a disk or stretch a key, so it works on a thread
/// where waiting harms nobody.
pub(super) async fn call(
    State(served): State<Served>,
    Path(name): Path<String>,
    request: Request,
) -> Response {
    let args = match arguments(request).await {
        Ok(args) => args,
        Err(refusal) => return refusal.into_json(),
    };
    let door = Arc::clone(&served.door);
    let ended = tokio::task::spawn_blocking(move || door.call(&name, args)).await;
    // A panic in there is an error here, and the server goes on.
    match ended.unwrap_or_else(|cause| Err(AppError::internal("The call", cause))) {
        Ok(answer) => Json(answer).into_response(),
        Err(error) => Refusal::of(error).into_json(),
    }
}

/// A command is posted, or nothing.
pub(super) async fn wrong_method() -> Response {
    Refusal::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "serve.wrong_method",
        "A command is sent with POST.",
        "Load the screens again; they do so by themselves.",
    )
    .into_json()
}

/// Reads the arguments; what can be refused by its headers is not read at all.
async fn arguments(request: Request) -> Result<Value, Refusal> {
    let headers = request.headers();
    if from_elsewhere(headers) {
        return Err(Refusal::foreign_page());
    }
    // A page elsewhere can post plain text or a form without being asked whether it may; JSON not.
    if !headers.get(CONTENT_TYPE).is_some_and(is_json) {
        return Err(Refusal::new(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "serve.not_json",
            "A command takes its arguments as application/json.",
            "Load the screens again; they send it so.",
        ));
    }
    if request.body().size_hint().lower() > LARGEST_BODY as u64 {
        return Err(too_large());
    }
    let body =
        Bytes::from_request(request, &()).await.map_err(|rejection| match rejection.status() {
            StatusCode::PAYLOAD_TOO_LARGE => too_large(),
            _ => Refusal::new(
                StatusCode::BAD_REQUEST,
                "serve.cut_short",
                "What was sent did not arrive whole.",
                "Do it again. Nothing was entered.",
            ),
        })?;
    serde_json::from_slice(&body).map_err(|cause| {
        let sentence = format!("What was sent is not JSON: {cause}.");
        Refusal::new(
            StatusCode::BAD_REQUEST,
            "serve.not_json",
            &sentence,
            "Load the screens again. Nothing was entered.",
        )
    })
}

fn too_large() -> Refusal {
    Refusal::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "serve.too_large",
        "What was sent is larger than 32 MiB.",
        "Take a smaller picture, or fewer files at once. Nothing was entered.",
    )
}

fn is_json(value: &HeaderValue) -> bool {
    let media = value.to_str().ok().and_then(|text| text.split(';').next()).map(str::trim);
    media.is_some_and(|media| media.eq_ignore_ascii_case("application/json"))
}
