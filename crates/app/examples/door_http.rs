//! Scratch: one door over plain HTTP.
use std::io::{BufRead, BufReader, Read, Write};
fn main() {
    let out = std::env::args().nth(1).unwrap();
    let dist = std::env::args().nth(2).unwrap();
    let door =
        app::door::Door::new(app::door::DoorConfig { data: out.into(), secrets: None, demo: true })
            .unwrap();
    let listener = std::net::TcpListener::bind("127.0.0.1:8978").unwrap();
    for stream in listener.incoming() {
        let Ok(mut stream) = stream else { continue };
        let mut reader = BufReader::new(stream.try_clone().unwrap());
        let mut line = String::new();
        if reader.read_line(&mut line).is_err() {
            continue;
        }
        let path = line.split(' ').nth(1).unwrap_or("/").to_owned();
        let mut length = 0;
        loop {
            let mut head = String::new();
            if reader.read_line(&mut head).is_err() || head.trim().is_empty() {
                break;
            }
            if let Some(n) = head.to_lowercase().strip_prefix("content-length:") {
                length = n.trim().parse().unwrap_or(0);
            }
        }
        let mut body = vec![0; length];
        if reader.read_exact(&mut body).is_err() {
            continue;
        }
        let (status, kind, bytes) = if let Some(name) = path.strip_prefix("/api/") {
            let args = serde_json::from_slice(&body).unwrap_or(serde_json::Value::Null);
            match door.call(name, args) {
                Ok(value) => ("200 OK", "application/json", serde_json::to_vec(&value).unwrap()),
                Err(error) => ("400 Bad", "application/json", serde_json::to_vec(&serde_json::json!({"code": error.code, "sentence": error.sentence, "next_step": error.next_step})).unwrap()),
            }
        } else {
            let file = if path == "/" { "/index.html".to_owned() } else { path.clone() };
            let kind = if file.ends_with(".html") {
                "text/html"
            } else if file.ends_with(".js") {
                "text/javascript"
            } else if file.ends_with(".css") {
                "text/css"
            } else if file.ends_with(".svg") {
                "image/svg+xml"
            } else {
                "font/woff2"
            };
            match std::fs::read(format!("{dist}{file}")) {
                Ok(b) => ("200 OK", kind, b),
                Err(_) => ("404 No", kind, vec![]),
            }
        };
        let _ = write!(
            stream,
            "HTTP/1.1 {status}\r\ncontent-type: {kind}\r\ncontent-length: {}\r\nconnection: close\r\ncontent-security-policy: default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'\r\n\r\n",
            bytes.len()
        );
        let _ = stream.write_all(&bytes);
    }
}
