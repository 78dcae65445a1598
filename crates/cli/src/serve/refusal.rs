//! What is not answered, in words: JSON for the screens, a page for whoever opened an address.

use app::error::AppError;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};

/// A code, a sentence and a next step, with the status that HTTP has for it.
pub(super) struct Refusal {
    status: StatusCode,
    error: AppError,
}

impl Refusal {
    pub(super) fn new(status: StatusCode, code: &str, sentence: &str, next_step: &str) -> Self {
        Self { status, error: AppError::new(code, sentence, next_step) }
    }

    /// What the app refused. Only a fault of the program or the machine is the server's.
    pub(super) fn of(error: AppError) -> Self {
        let status = match error.code.as_str() {
            "internal" => StatusCode::INTERNAL_SERVER_ERROR,
            "door.unknown_command" => StatusCode::NOT_FOUND,
            _ => StatusCode::UNPROCESSABLE_ENTITY,
        };
        Self { status, error }
    }

    pub(super) fn wrong_address(port: u16) -> Self {
        let next_step = format!("Open http://127.0.0.1:{port}/ instead.");
        Self::new(
            StatusCode::FORBIDDEN,
            "serve.wrong_address",
            "The logbook does not answer under this address.",
            &next_step,
        )
    }

    pub(super) fn foreign_page() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "serve.foreign_page",
            "Another page than the logbook's own asked. It gets no answer.",
            "If you did not mean to do this, close the page that asked. Open the logbook by its \
             own address.",
        )
    }

    pub(super) fn not_entered() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "serve.not_entered",
            "This browser has not come in by the one-time address.",
            "Open the address that `dishwright serve` printed. If it was used already, end the \
             program with Ctrl-C and run it again: it prints a new one. What was typed is kept.",
        )
    }

    pub(super) fn used() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "serve.address_used",
            "This address was used already, or was never printed; it works once.",
            "End `dishwright serve` with Ctrl-C and run it again: it prints a new address. What \
             was typed is kept.",
        )
    }

    /// In the form for whoever asked for this path.
    pub(super) fn into_answer(self, path: &str) -> Response {
        if path.starts_with("/api/") { self.into_json() } else { self.into_page() }
    }

    pub(super) fn into_json(self) -> Response {
        (self.status, axum::Json(self.error)).into_response()
    }

    /// A page without styles: the policy takes none that stand in the page itself.
    pub(super) fn into_page(self) -> Response {
        let AppError { code, sentence, next_step, .. } = self.error;
        let [code, sentence, next_step] = [code, sentence, next_step].map(|text| escaped(&text));
        let page = format!(
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta name=\"color-scheme\" content=\"light dark\">\n<title>Dishwright</title>\n\
             </head>\n<body>\n<main>\n<h1>{sentence}</h1>\n<p>{next_step}</p>\n\
             <p><code>{code}</code></p>\n</main>\n</body>\n</html>\n"
        );
        (self.status, [(CONTENT_TYPE, "text/html; charset=utf-8")], page).into_response()
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::{Refusal, escaped};
    use app::error::AppError;
    use axum::http::StatusCode;

    #[test]
    fn what_came_from_elsewhere_is_text_on_a_page() {
        assert_eq!(escaped("<a href=\"x\">&</a>"), "&lt;a href=&quot;x&quot;&gt;&amp;&lt;/a&gt;");
    }

    #[test]
    fn a_fault_of_ours_and_a_refusal_have_their_own_status() {
        let status = |code: &str| Refusal::of(AppError::new(code, "a", "b")).status;
        assert_eq!(status("internal"), StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(status("door.unknown_command"), StatusCode::NOT_FOUND);
        assert_eq!(status("record.unknown"), StatusCode::UNPROCESSABLE_ENTITY);
    }
}
