//! The log file: one JSON object a line, on standard error. Never bodies, never headers, never a secret.
use crate::state::digest;
use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::middleware::Next;
use stridewright_core::ids::{Account, Id};

/// Begins it; `STRIDEWRIGHT_LOG` says how much, `info` where it does not.
pub fn begin() {
    let filter = tracing_subscriber::EnvFilter::try_from_env("STRIDEWRIGHT_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("info"));
    let _ = tracing_subscriber::fmt().with_env_filter(filter).json().with_writer(std::io::stderr).try_init();
}

/// The most characters of something that a stranger chose.
const MOST: usize = 300;

/// Text as a stranger chose it, in visible ASCII: nothing in it ends a line or moves a cursor, whatever reads it.
pub fn plain(text: &str) -> String {
    let shown = |c: char| if c.is_ascii_graphic() || c == ' ' { c.to_string() } else { c.escape_unicode().to_string() };
    text.chars().take(MOST).map(shown).collect()
}

/// Logs every answer that is a refusal or a failure.
pub async fn refusals(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let response = next.call(request).await?;
    let status = response.status().as_u16();
    if status >= 400 {
        let asked = response.request();
        let (method, path) = (plain(asked.method().as_str()), plain(asked.path()));
        let address = asked.peer_addr().map(|a| a.ip().to_string()).unwrap_or_default();
        if status >= 500 {
            tracing::error!(event = "failed", status, method, path, address);
        } else {
            tracing::info!(event = "refused", status, method, path, address);
        }
    }
    Ok(response)
}

/// Something that happened to an account's sign-ins.
pub fn sign_in(event: &'static str, account: Id<Account>) {
    tracing::info!(event, %account);
}

/// A wrong guess at an address's password: of the address there is a part of its digest, to tell it from others.
pub fn wrong_guess(email_key: &str) {
    let address = digest(email_key).chars().take(16).collect::<String>();
    tracing::warn!(event = "sign_in_refused", address_digest = address);
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn nothing_ends_a_line_or_moves_a_cursor() {
        assert_eq!(plain("a b\r\n\u{1b}[31m\u{2028}\u{85}\"é"), "a b\\u{d}\\u{a}\\u{1b}[31m\\u{2028}\\u{85}\"\\u{e9}");
        assert_eq!(plain(&"x".repeat(1000)).len(), 300);
    }
}
