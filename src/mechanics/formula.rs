//! A closed-form relation that can be computed *and* shown.
//!
//! [`formula!`](crate::mechanics::formula) declares a function on typed quantities and, from the very
//! same tokens, the text that `explain` prints. There is no second copy of a formula to keep in step.
//!
//! Inside a body, dimensional arguments keep their types, so the compiler checks the dimensions; pure
//! numbers arrive as plain `f64`, and [`num`] turns a quotient of like quantities into one.

use crate::units::*;

/// A symbol of a formula: its name and the unit in which it is shown.
#[derive(Debug, Clone, Copy)]
pub struct Symbol {
    /// The name used in the body.
    pub name: &'static str,
    /// The unit shown beside its value.
    pub unit: Unit,
}

/// A relation with its text, source and limits, and the function compiled from the same tokens.
#[derive(Debug, Clone, Copy)]
pub struct Formula {
    /// What the relation gives.
    pub title: &'static str,
    /// The arguments in order.
    pub symbols: &'static [Symbol],
    /// The body as written in the code; [`Formula::readable`] makes it pleasant to read.
    pub body: &'static str,
    /// The unit of the result.
    pub result: Unit,
    /// Where the relation comes from, and how that source is known.
    pub source: &'static str,
    /// Where it holds, and what it leaves out.
    pub limits: &'static str,
    /// The relation itself: arguments and result in SI base units.
    pub eval: fn(&[f64]) -> f64,
}

impl Formula {
    /// The body as a person would write it: one step per line, `π` for `PI`, `x²` for `x * x`.
    pub fn readable(&self) -> String {
        let mut text = self.body.split_whitespace().collect::<Vec<_>>().join(" ");
        text = drop_types(&unwrap_calls(&text, "num"));
        for (from, to) in [
            ("PI", "π"),
            (" * ", "·"),
            (" / ", "/"),
            ("let ", ""),
            ("root(", "√("),
            (" - ", " − "),
            ("( ", "("),
            (" )", ")"),
            (".0·", "·"),
            (".0/", "/"),
            (".0)", ")"),
            (".0 ", " "),
            (".sqrt()", "^½"),
        ] {
            text = text.replace(from, to);
        }
        for (name, letter) in GREEK {
            text = replace_word(&text, name, letter);
        }
        text = plain_zeros(&double_brackets(&squares(&text)));
        text.split("; ")
            .map(|line| {
                let (name, value) = line.trim().split_once(" = ").unwrap_or(("", line.trim()));
                let equals = if name.is_empty() { "" } else { " = " };
                format!("{name}{equals}{}", outer_brackets_off(value))
            })
            .collect::<Vec<_>>()
            .join("\n")
    }
}

/// Names of symbols that people write with a Greek letter.
const GREEK: &[(&str, &str)] = &[
    ("alpha", "α"),
    ("gamma_e", "γ_e"),
    ("gamma_p", "γ_p"),
    ("nu_a", "ν_a"),
    ("phi", "φ"),
    ("sigma_a", "σ_a"),
    ("sigma_n", "σ_n"),
    ("sigma_th", "σ_th"),
    ("tau_p", "τ_p"),
    ("tau_x", "τ_x"),
    ("tau_phi", "τ_φ"),
    ("tau_mean", "τ_mean"),
    ("alpha_n", "α_n"),
    ("beta", "β"),
    ("eta", "η"),
    ("kappa", "κ"),
    ("lambda", "λ"),
    ("mu_s", "μ_s"),
    ("mu_t", "μ_t"),
    ("nu", "ν"),
    ("rho", "ρ"),
    ("sigma", "σ"),
    ("sigma_y", "σ_y"),
    ("tau", "τ"),
    ("tau_u", "τ_u"),
    ("tau_int", "τ_int"),
    ("tau_ext", "τ_ext"),
    ("theta", "θ"),
];

/// A symbol as people write it.
pub fn greek(name: &str) -> &str {
    GREEK
        .iter()
        .find(|(n, _)| *n == name)
        .map_or(name, |(_, letter)| letter)
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Replaces a whole word.
fn replace_word(text: &str, word: &str, by: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(word) {
        let before = rest[..at].chars().next_back().is_some_and(is_word);
        let after = rest[at + word.len()..].chars().next().is_some_and(is_word);
        out.push_str(&rest[..at]);
        out.push_str(if before || after { word } else { by });
        rest = &rest[at + word.len()..];
    }
    out + rest
}

/// Drops the types that a `let` states for the compiler's sake.
fn drop_types(text: &str) -> String {
    text.split("let ")
        .map(|part| match (part.find(": "), part.find(" = ")) {
            (Some(colon), Some(equals)) if colon < equals => {
                format!("{}{}", &part[..colon], &part[equals..])
            }
            _ => part.to_string(),
        })
        .collect::<Vec<_>>()
        .join("let ")
}

/// Takes brackets off that hold the whole of a text.
fn outer_brackets_off(text: &str) -> &str {
    let Some(inside) = text.strip_prefix('(').and_then(|t| t.strip_suffix(')')) else {
        return text;
    };
    let mut depth = 0i32;
    for c in inside.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        if depth < 0 {
            return text;
        }
    }
    inside
}

/// Writes `((x))` as `(x)`.
fn double_brackets(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut partner = vec![0usize; chars.len()];
    let mut open = Vec::new();
    for (i, c) in chars.iter().enumerate() {
        match c {
            '(' => open.push(i),
            ')' => {
                if let Some(start) = open.pop() {
                    partner[start] = i;
                }
            }
            _ => {}
        }
    }
    let doubled = |i: usize| {
        chars[i] == '(' && chars.get(i + 1) == Some(&'(') && partner[i + 1] + 1 == partner[i]
    };
    let dropped: Vec<usize> = (0..chars.len())
        .filter(|&i| doubled(i))
        .flat_map(|i| [i, partner[i]])
        .collect();
    chars
        .iter()
        .enumerate()
        .filter(|(i, _)| !dropped.contains(i))
        .map(|(_, c)| c)
        .collect()
}

/// Writes `0·x` as `0`: the code needs the symbol for its unit, a reader does not.
fn plain_zeros(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("0·") {
        let (before, after) = (&rest[..at], &rest[at + "0·".len()..]);
        let alone = !before
            .chars()
            .next_back()
            .is_some_and(|c| is_word(c) || c == '.');
        out.push_str(before);
        out.push('0');
        rest = if alone {
            after.trim_start_matches(is_word)
        } else {
            out.push('·');
            after
        };
    }
    out + rest
}

/// Removes calls of `name(…)` but keeps what stands in the brackets.
fn unwrap_calls(text: &str, name: &str) -> String {
    let mut out = String::new();
    let mut closing = Vec::new();
    let mut depth = 0usize;
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let word_before = out
            .chars()
            .next_back()
            .is_some_and(|p| p.is_alphanumeric() || p == '_');
        if !word_before
            && rest.starts_with(name)
            && rest[name.len()..].trim_start().starts_with('(')
        {
            let open = rest.find('(').unwrap_or(0);
            rest = &rest[open + 1..];
            depth += 1;
            // A lone symbol or quotient needs no brackets of its own when nothing follows it.
            closing.push(depth);
            out.push('(');
            continue;
        }
        match c {
            '(' => depth += 1,
            ')' => {
                if closing.last() == Some(&depth) {
                    closing.pop();
                }
                depth = depth.saturating_sub(1);
            }
            _ => {}
        }
        out.push(c);
        rest = &rest[c.len_utf8()..];
    }
    out
}

/// Writes `x·x` as `x²` and `x·x·x·x` as `x⁴`, `x` being one word.
fn squares(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while !rest.is_empty() {
        let word: String = rest
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect();
        if word.is_empty() || word.chars().all(|c| c.is_ascii_digit()) {
            let c = rest.chars().next().unwrap_or(' ');
            let take = if word.is_empty() {
                c.len_utf8()
            } else {
                word.len()
            };
            out.push_str(&rest[..take]);
            rest = &rest[take..];
            continue;
        }
        rest = &rest[word.len()..];
        let mut times = 1;
        while let Some(after) = rest
            .strip_prefix('·')
            .and_then(|r| r.strip_prefix(word.as_str()))
        {
            if after
                .chars()
                .next()
                .is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '(')
            {
                break;
            }
            times += 1;
            rest = after;
        }
        out.push_str(&word);
        match times {
            1 => {}
            2 => out.push('²'),
            3 => out.push('³'),
            4 => out.push('⁴'),
            n => out.push_str(&format!("^{n}")),
        }
    }
    out
}

/// A quotient of like quantities as a plain number.
#[inline]
pub fn num(ratio: Ratio) -> f64 {
    ratio.value
}
/// Tangent of an angle.
#[inline]
pub fn tan(angle: Angle) -> f64 {
    angle.value.tan()
}
/// Cosine of an angle.
#[inline]
pub fn cos(angle: Angle) -> f64 {
    angle.value.cos()
}
/// Sine of an angle.
#[inline]
pub fn sin(angle: Angle) -> f64 {
    angle.value.sin()
}
/// The angle of a tangent.
#[inline]
pub fn atan(tangent: f64) -> Angle {
    from_si(tangent.atan())
}
/// Square root of a plain number.
#[inline]
pub fn root(x: f64) -> f64 {
    x.sqrt()
}
/// A plain number raised to a power.
#[inline]
pub fn power(base: f64, exponent: f64) -> f64 {
    base.powf(exponent)
}
/// Hyperbolic cotangent of a plain number.
#[inline]
pub fn coth(x: f64) -> f64 {
    1.0 / x.tanh()
}
/// The magnitude of a plain number.
#[inline]
pub fn abs(x: f64) -> f64 {
    x.abs()
}
/// The lesser of two like things.
#[inline]
pub fn min<T: PartialOrd>(a: T, b: T) -> T {
    if b < a { b } else { a }
}
/// The greater of two like things.
#[inline]
pub fn max<T: PartialOrd>(a: T, b: T) -> T {
    if b > a { b } else { a }
}

/// How an argument looks inside a body: a pure number becomes `f64`, anything else stays typed.
pub trait Inside {
    /// The type inside the body.
    type Form;
    /// Converts the argument.
    fn inside(self) -> Self::Form;
}
/// How the value of a body becomes the declared result.
pub trait Outside<T> {
    /// Converts the value of the body.
    fn outside(self) -> T;
}
/// The unit in which a type of quantity is shown.
pub trait Shown {
    /// The unit.
    const UNIT: Unit;
}

macro_rules! typed {
    ($($ty:ty => $unit:ident),* $(,)?) => { $(
        impl Inside for $ty { type Form = $ty; #[inline] fn inside(self) -> $ty { self } }
        impl Outside<$ty> for $ty { #[inline] fn outside(self) -> $ty { self } }
        impl Shown for $ty { const UNIT: Unit = Unit::$unit; }
    )* };
}
typed!(
    Length => Millimetre, Area => SquareMillimetre, Volume => CubicMillimetre, Angle => Degree,
    Force => Newton, Torque => NewtonMetre, Pressure => Megapascal, LineLoad => NewtonPerMillimetre,
    LayerStiffness => NewtonPerCubicMillimetre, ThermodynamicTemperature => Celsius,
    TemperatureCoefficient => PerKelvin, ElectricPotential => Volt, SecondMoment => QuarticMillimetre,
    RadialCompliance => CubicMillimetrePerNewton, MassDensity => Density, Mass => Gram, Time => Hour,
);
impl Inside for Ratio {
    type Form = f64;
    #[inline]
    fn inside(self) -> f64 {
        self.value
    }
}
impl Outside<Ratio> for f64 {
    #[inline]
    fn outside(self) -> Ratio {
        number(self)
    }
}
impl Outside<Ratio> for Ratio {
    #[inline]
    fn outside(self) -> Ratio {
        self
    }
}
impl Shown for Ratio {
    const UNIT: Unit = Unit::None;
}
// A moment is a force times an arm, which the dimension alone cannot tell from an energy.
impl Outside<Torque> for Energy {
    #[inline]
    fn outside(self) -> Torque {
        from_si(self.value)
    }
}

/// Declares a relation once, as code and as text; see the [module](crate::mechanics::formula).
#[macro_export]
macro_rules! formula {
    ($title:literal; source: $source:literal; limits: $limits:literal;
     fn $name:ident($($arg:ident: $ty:ty),* $(,)?) -> $ret:ty { $($body:tt)* }) => {
        #[doc = $title]
        #[doc = ""]
        #[doc = concat!("`", stringify!($($body)*), "`")]
        #[doc = ""]
        #[doc = concat!("Source: ", $source, ".")]
        #[doc = concat!("Limits: ", $limits, ".")]
        // A relation has as many arguments as it has symbols.
        #[allow(non_snake_case, clippy::too_many_arguments)]
        #[inline]
        pub fn $name($($arg: $ty),*) -> $ret {
            #[allow(unused_imports)]
            use $crate::mechanics::formula::{Inside, Outside, abs, atan, cos, coth, max, min, num, power, root, sin, tan};
            #[allow(unused_imports)]
            use std::f64::consts::PI;
            $(let $arg = <$ty as Inside>::inside($arg);)*
            let value = { $($body)* };
            <_ as Outside<$ret>>::outside(value)
        }
        #[doc = concat!("The text and the compiled form of [`", stringify!($name), "()`].")]
        #[allow(missing_docs)]
        pub mod $name {
            #[allow(unused_imports)]
            use super::*;
            #[allow(unused_imports)]
            use $crate::mechanics::formula::{Formula, Shown, Symbol};
            /// The relation with its text, source and limits.
            pub const FORMULA: Formula = Formula {
                title: $title,
                symbols: &[$(Symbol { name: stringify!($arg), unit: <$ty as Shown>::UNIT }),*],
                body: stringify!($($body)*),
                result: <$ret as Shown>::UNIT,
                source: $source,
                limits: $limits,
                eval: |si_values| {
                    let mut next = si_values.iter().copied();
                    $crate::units::si(super::$name($({
                        let argument: $ty = $crate::units::from_si(next.next().unwrap_or(f64::NAN));
                        argument
                    }),*))
                },
            };
        }
    };
}
pub use crate::formula;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_as_a_person_writes_it() {
        for (formula, text) in [
            (
                crate::mechanics::strip::external_area::FORMULA,
                "t = max(min(P/2 + (d2 − D1)·tan(α), P), 0)\nπ·D1·N·t",
            ),
            (
                crate::mechanics::fitting::neck_shear::FORMULA,
                "J = π/32·(d_neck⁴ − d_i⁴)\nτ = T_thread·(d_neck/2)/J\nτ",
            ),
            (
                crate::mechanics::glue::mean_use::FORMULA,
                "F = A·τ_p·f\nn = N_b/F\nt = T_b/(r_b·F)\n√(n² + t²)",
            ),
        ] {
            assert_eq!(formula.readable(), text);
        }
    }

    #[test]
    fn whole_words_alone_are_replaced() {
        assert_eq!(
            replace_word("nu + nu_a·eta_nu·nu", "nu", "ν"),
            "ν + nu_a·eta_nu·ν"
        );
        assert_eq!(greek("tau_phi"), "τ_φ");
        assert_eq!(greek("d2"), "d2");
    }

    #[test]
    fn types_and_needless_brackets_fall() {
        assert_eq!(
            drop_types("let tau: Pressure = a / b; let J = c; f(x: y)"),
            "let tau = a / b; let J = c; f(x: y)"
        );
        for (text, bare) in [
            ("(a + b)", "a + b"),
            ("((a) + b)", "(a) + b"),
            ("(a)·(b)", "(a)·(b)"),
            ("a", "a"),
        ] {
            assert_eq!(outer_brackets_off(text), bare);
        }
        for (text, bare) in [
            ("((a + b))·c", "(a + b)·c"),
            ("(((a)))", "(a)"),
            ("((a) + (b))", "((a) + (b))"),
            ("(a)(b)", "(a)(b)"),
        ] {
            assert_eq!(double_brackets(text), bare);
        }
    }

    #[test]
    fn a_zero_needs_no_unit_and_a_quotient_no_call() {
        for (text, plain) in [
            ("max(x, 0·P_a)", "max(x, 0)"),
            ("0·N − N", "0 − N"),
            ("10·P + x0·P + 1.0·P", "10·P + x0·P + 1.0·P"),
        ] {
            assert_eq!(plain_zeros(text), plain);
        }
        for (text, bare) in [
            ("num(a / b) * c", "(a / b) * c"),
            ("num (f(a) + num(b)) + (c)", "(f(a) + (b)) + (c)"),
            ("enum(a) + num", "enum(a) + num"),
        ] {
            assert_eq!(unwrap_calls(text, "num"), bare);
        }
    }

    #[test]
    fn like_factors_are_a_power() {
        for (text, powers) in [
            ("a·a", "a²"),
            ("r_b·r_b·r_b − a·a·a·a", "r_b³ − a⁴"),
            ("a·a·a·a·a", "a^5"),
            ("a·ab + a·a_b + f·f(x)", "a·ab + a·a_b + f·f(x)"),
            ("2·2·τ·τ", "2·2·τ²"),
        ] {
            assert_eq!(squares(text), powers);
        }
    }

    #[test]
    fn what_a_body_may_call() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} not {b}");
        near(tan(degree(45.0)), 1.0);
        near(sin(degree(30.0)), 0.5);
        near(cos(degree(60.0)), 0.5);
        near(si(atan(1.0)), si(degree(45.0)));
        near(root(9.0), 3.0);
        near(power(2.0, 3.0), 8.0);
        near(coth(0.5 * 3f64.ln()), 2.0);
        near(abs(-2.0), 2.0);
        near(num(mm(3.0) / mm(2.0)), 1.5);
        for (a, b) in [(1.0, 2.0), (2.0, 1.0)] {
            assert_eq!((min(a, b), max(a, b)), (1.0, 2.0));
        }
    }
}
