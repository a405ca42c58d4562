//! What is carried out, and what the fence set lacks.
use super::Setting;
use super::scene::Scene;
use stridewright_core::equipment::Equipment;

impl Setting<'_> {
    /// What is carried out, part by part.
    pub fn equipment(&self, scene: Option<&Scene>) -> Vec<String> {
        let mut parts = self.parts(self.layout().equipment());
        if scene.is_some_and(|scene| scene.gate.is_some()) {
            parts.push("2 gate markers".to_owned());
        }
        let marks = scene.map_or(0, |scene| scene.marks.len());
        if marks > 0 {
            parts.push(format!("{marks} pace mark{}", if marks == 1 { "" } else { "s" }));
        }
        parts.push("tape, hammer for the pin".to_owned());
        parts
    }

    /// Whether the fence set has it.
    pub fn from_set(&self) -> String {
        let Some((name, owned)) = self.when.as_ref().and_then(|when| when.fence_set.as_ref()) else {
            return String::new();
        };
        let lacks = self.layout().equipment().lacking(*owned);
        if lacks.is_nothing() {
            return format!("{name} has all of it");
        }
        format!("{name} lacks {}", self.parts(lacks).join(", "))
    }

    fn parts(&self, of: Equipment) -> Vec<String> {
        let poles = if of.poles == 1 { self.words.pole } else { self.words.poles };
        [
            (of.wings_pairs, self.words.wings),
            (of.poles, poles),
            (of.planks, "planks"),
            (of.fillers, if of.fillers == 1 { "filler" } else { "fillers" }),
            (of.cups, "flat cups"),
            (of.safety_cups, "safety cups"),
        ]
        .into_iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, what)| format!("{number} {what}"))
        .collect()
    }
}
