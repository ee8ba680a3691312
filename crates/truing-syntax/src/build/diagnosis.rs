//! The words of diagnosis: bands, chances, what waives a state.

use pest::iterators::Pair;

use super::{Builder, Built, Children};
use crate::grammar::Rule;
use crate::span::Spanned;
use crate::tree::{BandLeak, Chance, Effect, Leak, Likelihood, StateMember};

impl Builder<'_> {
    pub(crate) fn effect(&self, word: &Pair<'_, Rule>) -> Spanned<Effect> {
        let node = match word.as_str() {
            "low" => Effect::Low,
            "high" => Effect::High,
            "worn" => Effect::Worn,
            _ => Effect::Fail,
        };
        Spanned { node, span: self.span(word) }
    }

    /// `90 %`, `usually`, or nothing.
    pub(crate) fn chance(&mut self, children: &mut Children<'_>) -> Built<Option<Chance>> {
        if let Some(figure) = children.take(Rule::figure) {
            return self.figure(figure).map(|figure| Some(Chance::Figure(figure)));
        }
        let Some(word) = children.take(Rule::likelihood) else { return Ok(None) };
        let node = match word.as_str() {
            "always" => Likelihood::Always,
            "usually" => Likelihood::Usually,
            "sometimes" => Likelihood::Sometimes,
            _ => Likelihood::Rarely,
        };
        Ok(Some(Chance::Word(Spanned { node, span: self.span(&word) })))
    }

    /// `leak 2 %`, `leak high 1 %, low 2 %`
    pub(crate) fn leak(&mut self, pair: Pair<'_, Rule>) -> Built<Leak> {
        let mut children = self.children(pair);
        if let Some(figure) = children.take(Rule::figure) {
            return self.figure(figure).map(Leak::Even);
        }
        let mut bands = Vec::new();
        while let Some(band) = children.take(Rule::band_leak) {
            let mut parts = self.children(band);
            let word = self.need(&mut parts, Rule::effect)?;
            let band = self.effect(&word);
            bands.push(BandLeak { band, chance: self.need_figure(&mut parts)? });
        }
        Ok(Leak::By(bands))
    }

    /// `bands high, low`
    pub(crate) fn bands(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Spanned<Effect>>> {
        let mut children = self.children(pair);
        let mut bands = Vec::new();
        while let Some(word) = children.take(Rule::effect) {
            bands.push(self.effect(&word));
        }
        Ok(bands)
    }

    /// `waived by insulated passes`
    pub(crate) fn waived(&mut self, pair: Pair<'_, Rule>) -> Built<StateMember> {
        let passes = pair.clone().into_inner().any(|part| part.as_rule() == Rule::k_passes);
        let mut children = self.children(pair);
        let check = self.need(&mut children, Rule::path)?;
        Ok(StateMember::Waived { check: self.path(check)?, passes })
    }
}
