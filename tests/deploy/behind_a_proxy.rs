//! The samples of `deploy/` for nginx and Caddy, run as they stand but for ports and files.

use crate::scratch::Scratch;
use crate::shop::{Shop, certificate, free_port, soon};
use crate::web::{Visitor, curl, hidden};
use std::path::Path;
use std::process::{Child, Command, Stdio};

pub struct Proxy {
    child: Child,
    pub https: String,
    pub http: String,
}

impl Drop for Proxy {
    fn drop(&mut self) {
        // nginx's master takes its workers along when it is asked, not when it is killed.
        let _asked = Command::new("kill")
            .arg(self.child.id().to_string())
            .status();
        let _ended = self.child.wait();
    }
}

fn sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../deploy")
        .join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Replaces what must be there.
fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "the sample has no {from:?}");
    text.replace(from, to)
}

fn started(child: Child, https: u16, http: u16) -> Proxy {
    let proxy = Proxy {
        child,
        https: format!("https://127.0.0.1:{https}"),
        http: format!("http://127.0.0.1:{http}"),
    };
    soon("the proxy answers", || curl(&[&proxy.https]).status != 0);
    proxy
}

/// nginx before these ports.
pub fn nginx(folder: &Path, ports: &[u16], base_path: &str) -> Proxy {
    let (https, http) = (free_port(), free_port());
    let (cert, key) = certificate(folder, "nginx");
    let site = sample("nginx.conf");
    let servers: Vec<String> = ports
        .iter()
        .map(|port| format!("server 127.0.0.1:{port} max_fails=1 fail_timeout=2s;"))
        .collect();
    let one = "server 127.0.0.1:8710 max_fails=1 fail_timeout=2s;";
    let site = changed(&site, one, &servers.join("\n    "));
    let site = changed(&site, "listen 80;", &format!("listen 127.0.0.1:{http};"));
    let site = changed(
        &site,
        "listen 443 ssl;",
        &format!("listen 127.0.0.1:{https} ssl;"),
    );
    let site = changed(&site, "/etc/ssl/shop.example.pem", &cert);
    let site = changed(&site, "/etc/ssl/shop.example.key", &key);
    let site = match base_path {
        "" => site,
        path => changed(&site, "location / {", &format!("location {path}/ {{")),
    };
    let at = folder.display();
    let whole = format!(
        "daemon off;\nworker_processes 1;\npid {at}/nginx.pid;\nerror_log {at}/nginx.log;\n\
         events {{ worker_connections 256; }}\nhttp {{\naccess_log off;\n\
         client_body_temp_path {at}/body;\nproxy_temp_path {at}/proxy;\n\
         fastcgi_temp_path {at}/f;\nuwsgi_temp_path {at}/u;\nscgi_temp_path {at}/s;\n{site}}}\n"
    );
    let file = folder.join("nginx.conf");
    std::fs::write(&file, whole).expect("a configuration");
    let child = Command::new("nginx")
        .arg("-c")
        .arg(&file)
        .arg("-e")
        .arg(folder.join("nginx.log"))
        .stdin(Stdio::null())
        .spawn()
        .expect("nginx starts");
    started(child, https, http)
}

fn caddy(folder: &Path, port: u16) -> Proxy {
    let (https, http) = (free_port(), free_port());
    let site = sample("Caddyfile");
    // No certificate is fetched from the world outside: Caddy makes one of its own.
    let own = format!(
        "{{\n\tadmin off\n\tskip_install_trust\n\thttp_port {http}\n\thttps_port {https}\n\
         \tlocal_certs\n}}\n{site}"
    );
    let file = folder.join("Caddyfile");
    std::fs::write(&file, own).expect("a configuration");
    let child = Command::new("caddy")
        .args(["run", "--adapter", "caddyfile", "--config"])
        .arg(&file)
        .env("SHOP_HOST", "127.0.0.1")
        .env("BRASSTAG", format!("127.0.0.1:{port}"))
        .env("HOME", folder)
        .env("XDG_DATA_HOME", folder)
        .env("XDG_CONFIG_HOME", folder)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("caddy starts");
    started(child, https, http)
}

/// A picture of about this many bytes that a decoder takes: noise does not shrink.
fn photo(folder: &Path, megabytes: usize) -> String {
    let file = folder.join(format!("photo-{megabytes}.png"));
    let side = ((megabytes * 1024 * 1024 / 3) as f64).sqrt() as u32;
    let mut seed = 12345_u32;
    let noise = std::iter::repeat_with(|| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 24) as u8
    });
    let bytes: Vec<u8> = noise.take((side * side * 3) as usize).collect();
    image::RgbImage::from_raw(side, side, bytes)
        .expect("a picture")
        .save(&file)
        .expect("a file");
    file.display().to_string()
}

/// What every proxy must hand on rightly.
fn works_through(proxy: &Proxy, folder: &Path, base: &str) {
    let site = format!("{}{base}", proxy.https);
    let tobin = Visitor::signed_in(folder, &site, "tobin");
    let today = tobin.get("/today");
    assert_eq!(today.status, 200);
    assert!(
        today.header("strict-transport-security").is_some(),
        "{}",
        today.headers
    );
    let page = tobin.get("/jobs/3/photos");
    let (csrf, entry) = (hidden(&page.body, "csrf"), hidden(&page.body, "entry"));
    let seen = hidden(&page.body, "seen");
    let picture = photo(folder, 11);
    let sent = tobin.send(
        "/jobs/3/photos",
        &[
            format!("csrf={csrf}"),
            format!("entry={entry}"),
            format!("seen={seen}"),
            "about=as_found".to_owned(),
            format!("photo=@{picture};type=image/png"),
        ],
        "Accept: text/html",
    );
    assert_eq!(sent.status, 303, "{}", sent.body);
    let to = sent.header("location").expect("a place to go");
    assert!(to.starts_with(&format!("{base}/jobs/3")), "{to}");

    let moved = curl(&[&format!("{}{base}/sign-in", proxy.http)]);
    assert!(
        matches!(moved.status, 301 | 308),
        "plain HTTP leads to https: {}",
        moved.status
    );
}

#[test]
fn nginx_hands_on_a_base_path_https_large_photos_and_the_visitors_address() {
    let folder = Scratch::new("nginx");
    let settings = [
        ("BRASSTAG_BASE_PATH", "/shop"),
        ("BRASSTAG_PUBLIC_URL", "https://shop.example"),
    ];
    let shop = Shop::start(folder.path(), "demo", &settings);
    let proxy = nginx(folder.path(), &[shop.port()], "/shop");
    works_through(&proxy, folder.path(), "/shop");

    // Eleven reports from one visitor are one too many; what the visitor claims to be is not
    // believed, since nginx writes the line afresh.
    let visitor = Visitor::new(folder.path(), &format!("{}/shop", proxy.https));
    let mut last = 0;
    for n in 0..11 {
        let page = visitor.get("/t/K-04").body;
        let parts = [
            format!("csrf={}", hidden(&page, "csrf")),
            format!("entry={}", hidden(&page, "entry")),
            "tag=K-04".to_owned(),
            format!("words=It hums and does not turn, time {n}"),
        ];
        let claimed = format!("X-Forwarded-For: 192.0.2.{n}");
        last = visitor.send("/report", &parts, &claimed).status;
        assert!(n == 10 || last == 303, "report {n}: {last}");
    }
    assert_eq!(last, 429, "the visitor is counted, through the proxy");
}

#[test]
fn caddy_hands_on_https_and_large_photos() {
    let folder = Scratch::new("caddy");
    let settings = [("BRASSTAG_PUBLIC_URL", "https://shop.example")];
    let shop = Shop::start(folder.path(), "demo", &settings);
    let proxy = caddy(folder.path(), shop.port());
    works_through(&proxy, folder.path(), "");
}
