//! The end of the report: cautions, and who may sign in.
use super::text::{heading, wrapped};
use crate::barn::Barn;
use crate::cast::{FOUNDER, PASSWORD, PEOPLE, email};

const CAUTIONS: [&str; 4] = [
    "Limits are editable conventions, not veterinary advice; the trainer, the vet and local rules decide.",
    "What was not logged was not rested: read every total with the completeness of its log.",
    "A verdict says probably: one week's verdict is no reason to act, and a sudden decline is a reason to look for its \
     cause with the vet.",
    "An approved helmet, an adult on the ground, never jump alone; start low and easy, and a fall ends the ride.",
];

pub fn cautions() {
    heading("Cautions", "All people, horses and figures here are invented.");
    for caution in CAUTIONS {
        wrapped("  ! ", caution);
    }
}

pub fn sign_ins(barn: &Barn, mark: &str) {
    heading("Sign-ins", &format!("All with the password {PASSWORD}"));
    for who in PEOPLE.iter().filter(|p| p.signs_in) {
        let mut roles: Vec<String> = who.roles.iter().map(|role| (*role).to_owned()).collect();
        if who.name == FOUNDER {
            roles.push("founder".to_owned());
        }
        roles.extend(who.guardian_of.map(|minor| format!("guardian of {minor}")));
        println!("  {:<32} {}", email(who.name, mark), roles.join(", "));
    }
    let base = &barn.trainer.base;
    println!("\n  Open      {base}/api/v1/docs");
    println!("            (sign in under sign_in, and give the access_token to Authorize)");
    println!("  The barn  {base}{}", barn.at("").trim_end_matches('/'));
}
