//! The three pages of a file's way: the file, its columns, what it would change.

use super::apply;
use super::plan::{Act, MOST_SHOWN, Plan};
use super::upload::SentFile;
use super::{Import, KEPT_FOR, MOST_OF_ONE, job, planned, queries, roles};
use crate::error::AppError;
use crate::exchange::columns::Register;
use crate::exchange::{heads, reading};
use crate::form::{CheckedForm, FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::people::session::new_token;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use tokio::sync::Semaphore;

/// So many files are read at once; others wait their turn, so that memory stays bounded.
static READING: Semaphore = Semaphore::const_new(2);

#[derive(Template)]
#[template(path = "exchange/import.html")]
struct FilePage {
    layout: Layout,
    register: String,
    registers: Vec<(String, String)>,
    errors: FieldErrors,
}

impl FilePage {
    fn new(app: &AppState, user: &CurrentUser, register: &str, errors: FieldErrors) -> Page<Self> {
        let mine = Register::ALL
            .iter()
            .filter(|r| roles(**r).contains(&user.person.role));
        Page(FilePage {
            layout: Layout::new(app, &user.visitor, "Shop"),
            register: register.to_owned(),
            registers: mine
                .map(|r| (r.word().to_owned(), r.title().to_owned()))
                .collect(),
            errors,
        })
    }
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    register: String,
}

/// `/exchange/import`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require(roles(Register::Shelf))?;
    Ok(FilePage::new(&app, &user, &asked.register, FieldErrors::default()).into_response())
}

/// Takes the file and reads it.
pub async fn send(
    user: CurrentUser,
    State(app): State<AppState>,
    sent: SentFile,
) -> Result<Response, AppError> {
    user.require(roles(Register::Shelf))?;
    let chosen = sent.register.clone();
    let refused = |errors| {
        let page = FilePage::new(&app, &user, &chosen, errors);
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let mut errors = FieldErrors::default();
    let register = Register::named(&sent.register);
    match register {
        None => errors.add("register", "Choose what the file holds"),
        Some(register) => user.require(roles(register))?,
    }
    if sent.too_large {
        errors.add(
            "file",
            "The file is larger than 32 MB. Part it into several files.",
        );
    } else if sent.bytes.is_empty() {
        errors.add("file", "Choose a file that is not empty");
    }
    let Some(register) = register.filter(|_| errors.is_empty()) else {
        return refused(errors);
    };
    let _turn = READING
        .acquire()
        .await
        .map_err(|e| AppError::Broken(e.to_string()))?;
    let bytes = sent.bytes;
    let read = tokio::task::spawn_blocking(move || kept(register, &bytes)).await;
    // A file that breaks its reader is refused like one that the reader refuses.
    let read = read.unwrap_or_else(|_| Err("The file cannot be read. Save it anew.".to_owned()));
    match read {
        Err(message) => refused(FieldErrors::of("file", message)),
        Ok((sheet, fields)) => {
            let id = keep(&app, &user, (register, sent.name), (sheet, fields)).await?;
            Ok(Redirect::to(&app.url(&format!("/exchange/import/{id}"))).into_response())
        }
    }
}

/// The sheet and what its columns are, as they are kept.
fn kept(register: Register, bytes: &[u8]) -> Result<(String, String), String> {
    let sheet = reading::read(bytes)?;
    let fields = heads::matched(register, &sheet.heads);
    let text = serde_json::to_string(&sheet).map_err(|e| e.to_string())?;
    let fields = serde_json::to_string(&fields).map_err(|e| e.to_string())?;
    Ok((text, fields))
}

async fn keep(
    app: &AppState,
    user: &CurrentUser,
    (register, file_name): (Register, String),
    (sheet, fields): (String, String),
) -> Result<String, AppError> {
    let now = app.clock.now();
    let import = Import {
        id: new_token(),
        person_id: user.id(),
        register: register.word().to_owned(),
        file_name,
        sheet,
        fields,
        made_at: now,
        begun_at: None,
        done_at: None,
        said: String::new(),
    };
    let mut tx = app.db.begin_write().await?;
    // First, so that the new one is kept however the clock stands.
    queries::forget(&mut tx, now - KEPT_FOR, user.id(), MOST_OF_ONE - 1).await?;
    queries::insert(&mut tx, &import).await?;
    tx.commit().await?;
    Ok(import.id)
}

/// Somebody's own file; another's is not there.
async fn mine(app: &AppState, user: &CurrentUser, id: &str) -> Result<Import, AppError> {
    let since = app.clock.now() - KEPT_FOR;
    let import = queries::find(&app.db, id, user.id(), since).await?;
    let import = import.ok_or(AppError::NotFound)?;
    user.require(roles(import.register()?))?;
    Ok(import)
}

/// A column of the file and what it may be.
struct Asking {
    name: String,
    head: String,
    sample: String,
    field: String,
}

#[derive(Template)]
#[template(path = "exchange/import_columns.html")]
struct ColumnsPage {
    layout: Layout,
    import: Import,
    register: Register,
    rows: usize,
    asking: Vec<Asking>,
    options: Vec<(String, String)>,
    errors: FieldErrors,
}

async fn columns_page(
    app: &AppState,
    user: &CurrentUser,
    import: Import,
    errors: FieldErrors,
) -> Result<Page<ColumnsPage>, AppError> {
    let job = job(app, &import).await?;
    let ask = |(at, head): (usize, &String)| {
        let mut cells = job.sheet.rows.iter().filter_map(|line| line.cells.get(at));
        let sample = cells
            .find(|cell| !cell.trim().is_empty())
            .map_or("", String::as_str);
        Asking {
            name: format!("column{at}"),
            head: head.clone(),
            sample: sample.chars().take(60).collect(),
            field: job.fields.get(at).cloned().unwrap_or_default(),
        }
    };
    let columns = job.register.columns();
    let title = |c: &crate::exchange::columns::Column| {
        let needed = if c.needed { " (needed)" } else { "" };
        (c.field.to_owned(), format!("{}{needed}", c.label))
    };
    Ok(Page(ColumnsPage {
        layout: Layout::new(app, &user.visitor, "Shop"),
        register: job.register,
        rows: job.sheet.rows.len(),
        asking: job.sheet.heads.iter().enumerate().map(ask).collect(),
        options: columns.iter().map(title).collect(),
        import,
        errors,
    }))
}

/// `/exchange/import/{id}`
pub async fn columns(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    let import = mine(&app, &user, &id).await?;
    if import.done_at.is_some() {
        return Ok(Redirect::to(&app.url(&format!("/exchange/import/{id}/check"))).into_response());
    }
    let page = columns_page(&app, &user, import, FieldErrors::default()).await?;
    Ok(page.into_response())
}

/// Says what the columns are.
pub async fn set_columns(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
    fields: Fields,
) -> Result<Response, AppError> {
    let mut import = mine(&app, &user, &id).await?;
    let register = import.register()?;
    let known = register.columns();
    let mut errors = FieldErrors::default();
    let mut chosen: Vec<String> = Vec::new();
    for at in 0..import.fields().len() {
        let name = format!("column{at}");
        let field = fields.get(&name);
        if !field.is_empty() && chosen.iter().any(|c| c == field) {
            errors.add(&name, "Another column is this already");
        } else if !field.is_empty() && !known.iter().any(|c| c.field == field) {
            errors.add(&name, "Choose one of the list");
        }
        chosen.push(field.to_owned());
    }
    if let Some(missing) = key_missing(register, &chosen) {
        errors.add("column0", missing);
    }
    import.fields = serde_json::to_string(&chosen).map_err(|e| AppError::Broken(e.to_string()))?;
    if !errors.is_empty() {
        let page = columns_page(&app, &user, import, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let mut tx = app.db.begin_write().await?;
    queries::set_fields(&mut tx, &id, &import.fields).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/exchange/import/{id}/check"))).into_response())
}

/// A row that cannot say what it is about is of no use.
fn key_missing(register: Register, chosen: &[String]) -> Option<&'static str> {
    let has = |field: &str| chosen.iter().any(|c| c == field);
    match register {
        Register::Machines => (!has("tag")).then_some("Say which column is the tag"),
        Register::Places | Register::Panels | Register::Shelf | Register::Parts => {
            (!has("name")).then_some("Say which column is the name")
        }
        Register::Circuits => (!has("panel") || !has("number"))
            .then_some("Say which columns are the panel and the circuit's number"),
        Register::Lines => (!has("machine") || !has("position") || !has("part"))
            .then_some("Say which columns are the machine, where it sits, and the part"),
        Register::Plans => (!has("machine") || !has("action"))
            .then_some("Say which columns are the machine and what is to be done"),
        Register::Lists => (!has("name") || !has("list"))
            .then_some("Say which columns are the list and the motor's name"),
    }
}

#[derive(Template)]
#[template(path = "exchange/import_check.html")]
struct CheckPage {
    layout: Layout,
    import: Import,
    register: Register,
    running: bool,
    far: Option<(usize, usize)>,
    plan: Plan,
}

impl CheckPage {
    fn added(&self) -> Vec<&Act> {
        let added = self.plan.acts.iter().filter(|act| act.of.is_none());
        added.take(MOST_SHOWN).collect()
    }

    fn changed(&self) -> Vec<&Act> {
        let changed = self.plan.acts.iter().filter(|act| act.of.is_some());
        changed.take(MOST_SHOWN).collect()
    }

    fn noun(&self, count: usize) -> &'static str {
        let (one, many) = self.register.nouns();
        if count == 1 { one } else { many }
    }

    fn there(&self) -> (&'static str, &'static str) {
        match self.register {
            Register::Places => ("/shop/places", "Places"),
            Register::Machines => ("/machines", "Machines"),
            Register::Panels | Register::Circuits => ("/panels", "Panels"),
            Register::Shelf | Register::Lists => ("/shelf", "Shelf"),
            Register::Parts | Register::Lines => ("/shelf/parts", "Parts"),
            Register::Plans => ("/preventive", "Preventive"),
        }
    }
}

/// `/exchange/import/{id}/check`
pub async fn check(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    let import = mine(&app, &user, &id).await?;
    let running = apply::running(&import, app.clock.now());
    let plan = if running || import.done_at.is_some() {
        Plan::default()
    } else {
        planned(&app, job(&app, &import).await?).await?
    };
    let page = Page(CheckPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        register: import.register()?,
        far: apply::far(&id),
        running,
        import,
        plan,
    });
    if running {
        return Ok(([("refresh", "2")], page).into_response());
    }
    Ok(page.into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Seen {
    seen: String,
}

/// Writes what was shown.
pub async fn write(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
    CheckedForm(form): CheckedForm<Seen>,
) -> Result<Response, AppError> {
    let import = mine(&app, &user, &id).await?;
    apply::start(&app, import, form.seen).await?;
    Ok(Redirect::to(&app.url(&format!("/exchange/import/{id}/check"))).into_response())
}
