//! The screens in a browser on this machine: listens on the loopback address alone, lets in the
//! one browser that opened the one-time address, and hands what the page asks to the app.
//!
//! Listening for other machines would take TLS; there is no option for it.

mod api;
mod gate;
mod pages;
mod refusal;

use std::io::ErrorKind;
use std::net::Ipv4Addr;
use std::sync::Arc;

use app::door::{Door, DoorConfig};
use app::error::{AppError, Result};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::{get, post};
use tokio::net::TcpListener;
use tokio::runtime::Builder;
use tokio::signal;

use gate::Gate;
use pages::Screens;

/// What every answer is made from.
#[derive(Clone)]
struct Served {
    door: Arc<Door>,
    gate: Arc<Gate>,
    screens: Arc<Screens>,
}

/// Serves until Ctrl-C. `announce` gets the address to open, once somebody listens there.
pub(crate) fn run(config: DoorConfig, port: u16, announce: impl FnOnce(&str)) -> Result<()> {
    let door = Arc::new(Door::new(config)?);
    let runtime = Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|cause| AppError::internal("Starting the server", cause))?;
    runtime.block_on(async {
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await.map_err(|e| taken(port, &e))?;
        let local = listener.local_addr().map_err(|e| taken(port, &e))?;
        let gate = Gate::new(local.port())?;
        announce(&gate.address());
        let served =
            Served { door, gate: Arc::new(gate), screens: Arc::new(Screens::of_this_build()) };
        let serving = axum::serve(listener, router(served)).with_graceful_shutdown(interrupted());
        tokio::select! {
            ended = serving => ended.map_err(|cause| AppError::internal("Serving", cause)),
            // Whoever asks twice does not want to wait for a connection that is still open.
            () = async { interrupted().await; interrupted().await } => Ok(()),
        }
    })
}

fn router(served: Served) -> Router {
    let command =
        post(api::call).fallback(api::wrong_method).layer(DefaultBodyLimit::max(api::LARGEST_BODY));
    Router::new()
        .route("/enter/{token}", get(gate::enter).fallback(pages::wrong_method))
        .route("/api/{name}", command)
        .fallback(pages::page)
        .layer(middleware::from_fn_with_state(served.clone(), gate::guard))
        .layer(middleware::map_response(pages::with_policy))
        .with_state(served)
}

/// Waits for Ctrl-C. Where it can't be heard of, the system ends the program by itself.
async fn interrupted() {
    if signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

fn taken(port: u16, cause: &std::io::Error) -> AppError {
    if cause.kind() == ErrorKind::AddrInUse {
        return AppError::new(
            "serve.port_taken",
            format!("Something else on this machine listens on port {port} already."),
            "Leave out `--port` and a free one is taken, or end what listens there.",
        );
    }
    AppError::new(
        "serve.cannot_listen",
        format!("Port {port} of this machine can't be listened on: {cause}."),
        "Leave out `--port` and a free one is taken.",
    )
}
