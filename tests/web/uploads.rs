//! Forms with files, sent as a browser sends them.

use crate::app::{Answer, Visit};
use axum::body::Body;
use axum::http::{Request, StatusCode, header};

impl Visit<'_> {
    /// Posts a form with files, as a browser sends it: the fields first, then `(field, file name,
    /// bytes)` each.
    pub async fn post_files(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        files: &[(&str, &str, &[u8])],
    ) -> Answer {
        const MARK: &str = "mark-of-the-test-7d1f";
        let mut body = Vec::new();
        for (name, value) in fields {
            let head = format!("--{MARK}\r\nContent-Disposition: form-data; name=\"{name}\"");
            body.extend(format!("{head}\r\n\r\n{value}\r\n").into_bytes());
        }
        for (name, file, bytes) in files {
            let head = format!(
                "--{MARK}\r\nContent-Disposition: form-data; name=\"{name}\"; filename=\"{file}\"\r\n\
                 Content-Type: image/jpeg\r\n\r\n"
            );
            body.extend(head.into_bytes());
            body.extend(*bytes);
            body.extend(b"\r\n");
        }
        body.extend(format!("--{MARK}--\r\n").into_bytes());
        let request = Request::post(path)
            .header(header::COOKIE, self.cookie())
            .header(
                header::CONTENT_TYPE,
                format!("multipart/form-data; boundary={MARK}"),
            )
            .body(piece_by_piece(body))
            .expect("request");
        self.send(request).await
    }

    /// Loads a page and sends its form that posts to `action` with files chosen in it.
    pub async fn submit_files(
        &self,
        page: &str,
        action: &str,
        fields: &[(&str, &str)],
        files: &[(&str, &str, &[u8])],
    ) -> Answer {
        let shown = self.get(page).await;
        assert_eq!(shown.status, StatusCode::OK, "{page}:\n{}", shown.body);
        let all = shown.filled(action, fields);
        let chosen = |name: &str| files.iter().any(|(field, ..)| *field == name);
        let all: Vec<(&str, &str)> = all
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .filter(|(name, _)| !chosen(name))
            .collect();
        self.post_files(action, &all, files).await
    }
}

/// A large body comes over the network in pieces, and so it does here.
fn piece_by_piece(body: Vec<u8>) -> Body {
    let (mut sender, pieces) =
        http_body_util::channel::Channel::<_, std::convert::Infallible>::new(1);
    let body = axum::body::Bytes::from(body);
    tokio::spawn(async move {
        for at in (0..body.len()).step_by(64 * 1024) {
            let piece = body.slice(at..body.len().min(at + 64 * 1024));
            // Nobody reads on after a refusal.
            if sender.send_data(piece).await.is_err() {
                return;
            }
        }
    });
    Body::new(pieces)
}
