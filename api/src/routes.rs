//! One registration gives the route, its document, its guard, `x-access`, 405 with Allow, and the problem answers.
mod alternatives;
pub mod document;
mod example;
mod links;
pub mod list;
mod named;
mod strict;

use crate::access::guard::{Access, Guarded};
use crate::problem::Problem;
use crate::problem::table::Kind;
use actix_web::http::Method;
use actix_web::{FromRequest, Handler, Resource, Responder, ResponseError, web};
use std::collections::BTreeMap;
use utoipa::openapi::{HttpMethod, RefOr, Schema, path::Operation};

/// One documented operation.
pub struct Documented {
    pub path: String,
    pub method: HttpMethod,
    pub operation: Operation,
    pub access: Access,
}

/// Adds one method's handler to a resource.
type AddHandler = Box<dyn FnOnce(Resource) -> Resource>;

/// Everything that is registered.
#[derive(Default)]
pub struct Routes {
    resources: BTreeMap<String, (Vec<Method>, Vec<AddHandler>)>,
    pub(crate) operations: Vec<Documented>,
    pub(crate) schemas: BTreeMap<String, RefOr<Schema>>,
    /// What two registrations disagree about; a test holds it empty.
    pub clashes: Vec<String>,
}

impl Routes {
    /// Registers a handler; called by `routes!`, which finds the document beside it.
    pub fn add<D, F, Args>(&mut self, _document: D, module: &str, name: &str, handler: F)
    where
        D: utoipa::Path + utoipa::__dev::SchemaReferences,
        F: Handler<Args>,
        Args: FromRequest + Guarded + 'static,
        F::Output: Responder + 'static,
    {
        let path = D::path();
        for method in D::methods() {
            let mut operation = D::operation();
            operation.operation_id = Some(format!("{module}_{name}"));
            operation.tags = Some(vec![module.to_owned()]);
            let verb = actix_method(&method);
            let entry = self.resources.entry(path.clone()).or_default();
            if entry.0.contains(&verb) {
                self.clashes.push(format!("{verb} {path} is registered twice"));
            }
            // HEAD is GET without a body (RFC 9110, 9.3.2); the HTTP library leaves the body out
            let verbs = if verb == Method::GET { vec![Method::GET, Method::HEAD] } else { vec![verb] };
            for verb in verbs {
                entry.0.push(verb.clone());
                let handler = handler.clone();
                entry.1.push(Box::new(move |resource| resource.route(web::method(verb).to(handler))));
            }
            self.operations.push(Documented { path: path.clone(), method, operation, access: Args::access() });
        }
        let mut schemas = Vec::new();
        D::schemas(&mut schemas);
        Args::schemas(&mut schemas);
        // a list stands in place: each is another type
        for (name, schema) in schemas.into_iter().filter(|(name, _)| name != "List") {
            if self.schemas.get(&name).is_some_and(|old| *old != schema) {
                self.clashes.push(format!("schema {name} has two meanings"));
            }
            self.schemas.insert(name, schema);
        }
    }

    /// Schemas that the document is to show as several, and that nothing registered; a test holds it empty.
    pub fn unknown_alternatives(&self) -> Vec<String> {
        alternatives::unknown(&self.schemas)
    }

    /// Mounts every resource, each with its own answer to other methods.
    pub fn mount(self, config: &mut web::ServiceConfig) {
        for (path, (methods, handlers)) in self.resources {
            let allow = methods.iter().map(Method::as_str).collect::<Vec<_>>().join(", ");
            let mut resource = web::resource(path);
            for add in handlers {
                resource = add(resource);
            }
            config.service(resource.default_service(web::to(move || {
                let allow = allow.clone();
                async move { Problem::new(Kind::MethodNotAllowed).allowing(allow).error_response() }
            })));
        }
    }
}

fn actix_method(method: &HttpMethod) -> Method {
    match method {
        HttpMethod::Post => Method::POST,
        HttpMethod::Patch => Method::PATCH,
        HttpMethod::Put => Method::PUT,
        HttpMethod::Delete => Method::DELETE,
        HttpMethod::Head => Method::HEAD,
        HttpMethod::Options => Method::OPTIONS,
        HttpMethod::Trace => Method::TRACE,
        HttpMethod::Get => Method::GET,
    }
}

/// Registers handlers of a module: each needs its document (`#[utoipa::path]`) and a guard, or it does not compile.
#[macro_export]
macro_rules! routes {
    ($routes:ident, $($thing:ident / $file:ident => $($name:ident),+;)*) => {
        $( $crate::routes_of!($routes, $thing, $file, $($name),+); )*
    };
}

/// One module's handlers.
#[macro_export]
macro_rules! routes_of {
    ($routes:ident, $thing:ident, $file:ident, $($name:ident),+) => {
        paste::paste! {
            $( $routes.add($crate::$thing::$file::[<__path_ $name>], stringify!($thing), stringify!($name), $crate::$thing::$file::$name); )+
        }
    };
}
