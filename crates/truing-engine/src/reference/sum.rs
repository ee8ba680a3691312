//! interim
#[derive(Clone, Copy, Debug)]
pub(super) enum Component { Rectangular(f64), Other(f64, Option<f64>) }
impl Component {
    pub fn rectangular(half: f64) -> Self { Self::Rectangular(half) }
    pub fn normal(u: f64) -> Self { Self::Other(u, None) }
    pub fn student(u: f64, dof: f64) -> Self { Self::Other(u, Some(dof)) }
    fn u(self) -> f64 { match self { Self::Rectangular(h) => h / 3f64.sqrt(), Self::Other(u, _) => u } }
}
#[derive(Clone, Debug)]
pub(super) struct ErrorSum { parts: Vec<Component> }
impl ErrorSum {
    pub fn new(mut parts: Vec<Component>) -> Self { parts.retain(|p| p.u() > 0.0); Self { parts } }
    pub fn standard_uncertainty(&self) -> f64 { self.parts.iter().map(|p| p.u() * p.u()).sum::<f64>().sqrt() }
    pub fn cumulative(&self, x: f64) -> f64 {
        match self.parts.as_slice() {
            [Component::Rectangular(half)] => ((x + half) / (2.0 * half)).clamp(0.0, 1.0),
            _ => 0.5 * libm::erfc(-x / self.standard_uncertainty() / 2.0_f64.sqrt()),
        }
    }
    pub fn dof(&self) -> Option<f64> {
        let (u, terms) = (self.standard_uncertainty(), self.parts.iter().map(|p| match p { Component::Other(u, Some(dof)) => u.powi(4) / dof, _ => 0.0 }).sum::<f64>());
        (terms > 0.0).then(|| u.powi(4) / terms)
    }
}
