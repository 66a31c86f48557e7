//! A gel with water held back and the record of a batch of it, for tests of the bench: 385.632 g are brought to 385.64 g,
//! of which 25 %, 96.41 g, wait.

use assert_cmd::Command;

/// The formula, and a record that is open at its end.
pub const NIGHT_GEL: &str = "\
use shelf/all

formula night-gel {
  title    \"Night gel\"
  version  \"1.3\"
  product  leave-on face
  makes    12 x 30 mL plus 4 %
  density  1.03 g/mL
  scale    0.01 g up to 600 g
  pH       3.6 to 4.0

  phase A \"Water phase\" {
    water                q.s.  hold back 25 %
    glycolic-acid-70     6 % active
    glycerin             3 %
    sodium-hydroxide-10  q.s. to pH
  }
  phase B \"Thicken and preserve\" {
    xanthan-gum                        0.8 %
    pentylene-glycol                   4 %
    phenoxyethanol-ethylhexylglycerin  1 %
  }
}

batch ng-1 {
  formula  night-gel version \"1.3\"
  started  2026-11-20
  size     385.64 g
";

/// What the program prints, and what it says beside it, with a text on its standard input.
pub fn fed(text: &str, arguments: &[&str]) -> (String, String) {
    let output = Command::cargo_bin("stillroom").unwrap().args(arguments).write_stdin(text).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}
