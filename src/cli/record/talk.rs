//! Short questions at a terminal, answered with a digit or a figure and Enter: one gloved hand will do.

use std::io::{BufRead, Write};
use stillroom::render::{OnScreen, shown};

/// How many choices fit under one digit.
const CHOICES: usize = 9;

/// Who is asked, and where.
pub struct Talk<'t> {
    /// Where answers come from.
    pub input: &'t mut dyn BufRead,
    /// Where questions go.
    pub out: &'t mut dyn Write,
}

impl Talk<'_> {
    /// Says something. A terminal that has gone away is found out by the next question.
    pub fn say(&mut self, text: &(impl OnScreen + ?Sized)) {
        let _ = self.out.write_all(text.on_screen().as_bytes()).and_then(|()| self.out.flush());
    }

    /// Asks, and gives the answer without the blanks around it; none where it is empty, or nobody is there any more.
    pub fn ask(&mut self, question: &str) -> Option<String> {
        self.say(question);
        let mut answer = String::new();
        match self.input.read_line(&mut answer) {
            Ok(length) if length > 0 => Some(answer.trim().to_string()).filter(|answer| !answer.is_empty()),
            _ => None,
        }
    }

    /// Asks for a figure; a comma is taken for the decimal point, as many write it.
    pub fn figure(&mut self, question: &str) -> Option<String> {
        self.ask(question).map(|answer| answer.replace(',', "."))
    }

    /// Asks for one of several, by its digit; none where she goes back. Where there is but one, it is that.
    pub fn pick(&mut self, what: &str, choices: &[String]) -> Option<usize> {
        self.pick_of(what, &choices.iter().cloned().map(Some).collect::<Vec<_>>())
    }

    /// The same, where some of the places are empty: what is there keeps the digit of its place.
    pub fn pick_of(&mut self, what: &str, choices: &[Option<String>]) -> Option<usize> {
        let there = |at: usize| choices.get(at).is_some_and(Option::is_some);
        let mut all = choices.iter().enumerate().filter_map(|(at, choice)| Some((at, choice.as_ref()?)));
        if let (Some((at, only)), None) = (all.next(), all.next()) {
            self.say(&format!("{what}: {}\n", shown(only)));
            return Some(at);
        }
        let mut from = 0;
        loop {
            let left = choices.get(from..).unwrap_or_default();
            let mut text = format!("{what}:\n");
            for (number, choice) in left.iter().take(CHOICES).enumerate() {
                if let Some(choice) = choice {
                    text.push_str(&format!("  {} {}\n", number + 1, shown(choice)));
                }
            }
            if choices.len() > CHOICES {
                text.push_str("  0 more\n");
            }
            self.say(&text);
            match self.ask("? ")?.parse::<usize>() {
                Ok(0) => from = if left.len() > CHOICES { from + CHOICES } else { 0 },
                Ok(digit) if digit <= CHOICES && there(from + digit - 1) => return Some(from + digit - 1),
                _ => self.say("One of the digits, or Enter alone to go back.\n"),
            }
        }
    }
}
