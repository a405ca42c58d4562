//! The addresses of the documents.
use crate::access::guard::Public;
use crate::problem::Problem;
use crate::problem::table::{Kind, Row};
use crate::routes::list;
use actix_web::HttpResponse;
use actix_web::http::header;
use serde_json::json;
use std::sync::{Arc, LazyLock};
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{AdditionalProperties, ObjectBuilder, Schema, Type};
use utoipa::{IntoParams, ToSchema};
use utoipa_swagger_ui::Config;

/// The document, made once.
static DOCUMENT: LazyLock<String> = LazyLock::new(|| list::all().document().to_string());

/// What the page of the document may load: its own script and style, and pictures inside them.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; \
img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// What a page of text may load: a style inside it.
const TEXT_POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const PAGE: &str = r#"<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Stridewright: the API</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/api/v1/docs/swagger-ui.css">
</head>
<body>
<div id="api"><p>The document itself is at <a href="/api/v1/openapi.json">/api/v1/openapi.json</a>.</p></div>
<script src="/api/v1/docs/swagger-ui-bundle.js"></script>
<script src="/api/v1/docs/start.js"></script>
</body>
</html>
"#;

const START: &str = "SwaggerUIBundle({url: '/api/v1/openapi.json', dom_id: '#api', deepLinking: true, \
validatorUrl: null, presets: [SwaggerUIBundle.presets.apis]});\n";

/// A file of the page.
#[derive(IntoParams)]
#[into_params(parameter_in = Path)]
#[allow(dead_code, reason = "only the document needs it; the file is read from the address")]
pub struct AssetKey {
    /// Its name.
    #[param(value_type = String, max_length = 40, pattern = "^[a-z.-]+$", example = "start.js")]
    file: (),
}

/// A type of problem.
#[derive(IntoParams)]
#[into_params(parameter_in = Path)]
#[allow(dead_code, reason = "only the document needs it; the code is read from the address")]
pub struct ProblemKey {
    /// Its code, with hyphens.
    #[param(value_type = String, max_length = 60, pattern = "^[a-z-]+$", example = "invalid-body")]
    code: (),
}

/// An OpenAPI document, version 3.1.
pub struct OpenApiDocument;

impl utoipa::PartialSchema for OpenApiDocument {
    fn schema() -> RefOr<Schema> {
        let version = ObjectBuilder::new()
            .schema_type(Type::String)
            .max_length(Some(10))
            .description(Some("The standard's version."));
        ObjectBuilder::new()
            .description(Some("An OpenAPI document."))
            .property("openapi", version)
            .required("openapi")
            .examples([json!({"openapi": "3.1.0"})])
            .additional_properties(Some(AdditionalProperties::<Schema>::FreeForm(true)))
            .into()
    }
}
impl ToSchema for OpenApiDocument {}

/// The last part of the address.
fn last(public: &Public) -> &str {
    public.head().path.rsplit('/').next().unwrap_or_default()
}

fn html(policy: &'static str, body: String) -> HttpResponse {
    let policy = (header::CONTENT_SECURITY_POLICY, policy);
    HttpResponse::Ok().content_type("text/html; charset=utf-8").insert_header(policy).body(body)
}

/// The OpenAPI document.
///
/// Of this very service: what it lists is what is served.
#[utoipa::path(get, path = "/api/v1/openapi.json",
    responses((status = 200, description = "The document.", body = OpenApiDocument)))]
pub async fn openapi(_public: Public) -> HttpResponse {
    HttpResponse::Ok().content_type("application/json").body(DOCUMENT.as_str())
}

/// The document as a page.
///
/// For people; everything it loads comes from this service.
#[utoipa::path(get, path = "/api/v1/docs",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html")))]
pub async fn page(_public: Public) -> HttpResponse {
    html(POLICY, PAGE.to_owned())
}

/// A file of the page.
///
/// Its script and its style.
#[utoipa::path(get, path = "/api/v1/docs/{file}", params(AssetKey), responses(
    (status = 200, description = "The file.", content((String = "text/javascript"), (String = "text/css")))))]
pub async fn asset(public: Public) -> Result<HttpResponse, Problem> {
    let hidden = || Problem::new(Kind::NotFound);
    let mut answer = HttpResponse::Ok();
    answer.insert_header((header::CACHE_CONTROL, "public, max-age=3600"));
    let name = match last(&public) {
        "start.js" => return Ok(answer.content_type("text/javascript").body(START)),
        name @ ("swagger-ui.css" | "swagger-ui-bundle.js") => name,
        _ => return Err(hidden()),
    };
    let found = utoipa_swagger_ui::serve(name, Arc::new(Config::from("/api/v1/openapi.json")));
    let file = found.ok().flatten().ok_or_else(hidden)?;
    Ok(answer.content_type(file.content_type).body(file.bytes.into_owned()))
}

/// A type of problem.
///
/// Why it happens and what to do; every error answer names its page in `type`.
#[utoipa::path(get, path = "/problems/{code}", params(ProblemKey),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html")))]
pub async fn problem(public: Public) -> Result<HttpResponse, Problem> {
    let path = &public.head().path;
    let row = Kind::ALL.iter().map(|kind| kind.row()).find(|row| row.path() == *path);
    row.map(|row| html(TEXT_POLICY, problem_page(&row))).ok_or_else(|| Problem::new(Kind::NotFound))
}

/// The table's own words hold nothing that HTML would read.
fn problem_page(row: &Row) -> String {
    let Row { code, status, title, cause, cure } = row;
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n\
         <style>body{{font:1.1rem/1.5 sans-serif;max-width:40rem;margin:2rem auto;padding:0 1rem}}</style>\n</head>\n\
         <body>\n<h1>{title}</h1>\n<p>Status {status}, code <code>{code}</code></p>\n\
         <h2>Why</h2>\n<p>{cause}</p>\n<h2>What to do</h2>\n<p>{cure}</p>\n</body>\n</html>\n"
    )
}
