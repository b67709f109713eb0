//! Help, version and completions.

use std::process::{Command, Stdio};

use super::{check_golden, folder, run};

const VERBS: [&str; 16] = [
    "vet",
    "new",
    "form",
    "slips",
    "sit",
    "remark",
    "review",
    "sheet",
    "audit",
    "moderate",
    "sign",
    "collect",
    "spell",
    "export",
    "equipment",
    "completions",
];

#[test]
fn the_help_of_every_verb_reads_well() {
    let folder = folder();
    let mut all = String::new();
    let (code, said, _) = run(folder.path(), &["--help"]);
    assert_eq!(code, 0);
    all += &format!("$ viva-voicing --help\n{said}\n");

    for verb in VERBS {
        assert!(said.contains(&format!("\n  {verb}")), "{verb} is listed");
        let (code, said, complaint) = run(folder.path(), &[verb, "--help"]);
        assert_eq!((code, complaint.as_str()), (0, ""), "{verb}");
        let (code, short, _) = run(folder.path(), &["help", verb]);
        assert_eq!((code, short), (0, said.clone()), "{verb}");
        for line in said.lines() {
            assert!(line.chars().count() <= 100, "{verb}: {line}");
        }
        let lines: Vec<&str> = said.lines().map(str::trim_end).collect();
        all += &format!("$ viva-voicing {verb} --help\n{}\n\n", lines.join("\n"));
    }
    check_golden("help.txt", &all);
}

#[test]
fn the_version_is_the_packages() {
    let folder = folder();
    let (code, said, _) = run(folder.path(), &["--version"]);
    assert_eq!(
        (code, said),
        (0, format!("viva-voicing {}\n", env!("CARGO_PKG_VERSION")))
    );
}

#[test]
fn wrong_usage_ends_with_two() {
    let folder = folder();
    for arguments in [
        &["play"][..],
        &["vet"],
        &["sit"],
        &["sit", "mixed.toml"],
        &["sit", "--performance", "played.mid"],
        &[
            "sit",
            "mixed.toml",
            "--performance",
            "played.mid",
            "--tempo",
            "3",
        ],
        &[
            "sit",
            "mixed.toml",
            "--performance",
            "played.mid",
            "--extra-hearings",
            "300",
        ],
        &[
            "sit",
            "mixed.toml",
            "--performance",
            "played.mid",
            "--time-factor",
            "much",
        ],
        &[
            "sit",
            "mixed.toml",
            "--performance",
            "played.mid",
            "--panel",
            "21=1",
        ],
        &["sit", "mixed.toml", "--resume", "j"],
        &["sit", "--resume", "j", "--journal", "k"],
        &["sit", "--resume", "j", "--time-factor", "2"],
        &["remark"],
        &["audit", "--public-key"],
        &["moderate"],
        &["moderate", "results", "--out"],
        &["sign", "r.toml"],
        &["export", "r.toml"],
        &["equipment", "--listen", "--sound"],
        &["equipment", "--seconds", "3"],
        &["equipment", "--listen", "--seconds", "0"],
        &["completions", "tcsh"],
    ] {
        let (code, said, complaint) = run(folder.path(), arguments);
        assert_eq!((code, said.as_str()), (2, ""), "{arguments:?}: {complaint}");
        assert!(
            complaint.contains("Usage:") || complaint.contains("--help"),
            "{complaint}"
        );
    }
    assert!(super::files(&folder.path().join("results")).is_empty());
}

#[test]
fn completions_name_every_verb() {
    let folder = folder();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (code, said, complaint) = run(folder.path(), &["completions", shell]);
        assert_eq!((code, complaint.as_str()), (0, ""), "{shell}");
        for verb in VERBS {
            assert!(said.contains(verb), "{shell}: {verb}");
        }
    }
}

/// By bash itself, where there is one.
#[test]
fn completions_for_bash_parse_and_complete() {
    let folder = folder();
    let (_, script, _) = run(folder.path(), &["completions", "bash"]);
    let (_, function) = script.split_once("complete -F ").unwrap();
    let function = function.split(' ').next().unwrap().to_owned();
    let path = folder.path().join("completions.bash");
    std::fs::write(&path, script).unwrap();
    let bash = |arguments: &[&str]| {
        Command::new("bash")
            .current_dir(folder.path())
            .args(arguments)
            .stdin(Stdio::null())
            .output()
    };
    let Ok(parsed) = bash(&["-n", "completions.bash"]) else {
        return;
    };
    assert!(parsed.status.success(), "{parsed:?}");

    let ask = format!(
        "source completions.bash; COMP_WORDS=(viva-voicing rem); COMP_CWORD=1; \
         {function} viva-voicing rem viva-voicing; echo \"${{COMPREPLY[@]}}\""
    );
    let asked = bash(&["-c", &ask]).unwrap();
    assert_eq!(
        String::from_utf8_lossy(&asked.stdout),
        "remark\n",
        "{asked:?}"
    );
}
