//! A server of the same stack that does nothing: acknowledges at once, passes each message on to all others.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use axum::Router;
use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use axum::routing::get;
use axum::serve::ListenerExt;
use tokio::sync::broadcast;

use crate::Fault;

#[derive(Clone)]
struct Hall {
    said: broadcast::Sender<Arc<str>>,
    count: Arc<AtomicU64>,
}

/// Starts it; returns its address.
pub async fn start() -> Result<String, Fault> {
    let hall = Hall {
        said: broadcast::channel(16_384).0,
        count: Arc::default(),
    };
    let router = Router::new().route("/live", get(join)).with_state(hall);
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?.to_string();
    let listener = listener.tap_io(|socket| {
        // As the server proper; without it the figures are only worse.
        let _ = socket.set_nodelay(true);
    });
    tokio::spawn(async move { axum::serve(listener, router).await });
    Ok(address)
}

async fn join(State(hall): State<Hall>, upgrade: WebSocketUpgrade) -> Response {
    upgrade.on_upgrade(move |socket| async move {
        // When the device goes there is nobody left to tell.
        let _ = talk(hall, socket).await;
    })
}

async fn talk(hall: Hall, mut socket: WebSocket) -> Result<(), axum::Error> {
    let mut news = hall.said.subscribe();
    loop {
        tokio::select! {
            biased;
            said = socket.recv() => {
                let Some(said) = said else { return Ok(()) };
                let Message::Text(text) = said? else { continue };
                let n = hall.count.fetch_add(1, Ordering::SeqCst) + 1;
                let change = format!("{{\"type\":\"change\",\"version\":{n},\"said\":{text}}}");
                // Nobody listening is no fault.
                let _ = hall.said.send(change.into());
                let ack = format!("{{\"type\":\"ack\",\"version\":{n}}}");
                socket.send(Message::Text(ack.into())).await?;
            }
            told = news.recv() => {
                if let Ok(told) = told {
                    socket.send(Message::Text((&*told).into())).await?;
                }
            }
        }
    }
}
