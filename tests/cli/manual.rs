//! Completions and manual pages say what the command line takes.

use super::Workspace;

const COMMANDS: [&str; 5] = ["check", "compare", "press", "plastics", "manual"];

#[test]
fn every_shell_learns_every_command() {
    let workspace = Workspace::new();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let answer = workspace.run(&["completions", shell]);
        assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{shell}");
        for word in COMMANDS.iter().chain(&["gate-depth", "watch"]) {
            assert!(answer.out.contains(word), "{shell} does not know {word}");
        }
    }
    let answer = workspace.run(&["completions", "abacus"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
}

/// Bash itself must accept what it is given, and complete with it.
#[test]
#[cfg(unix)]
fn bash_completes_an_option() {
    let workspace = Workspace::new();
    let script = workspace.run(&["completions", "bash"]).out;
    workspace.put("goodshot.bash", script);
    let ask = ". ./goodshot.bash; COMP_WORDS=(goodshot check --gate-d); COMP_CWORD=2; \
               _goodshot goodshot --gate-d check; echo \"${COMPREPLY[@]}\"";
    let answer = std::process::Command::new("bash")
        .args(["--norc", "-c", ask])
        .current_dir(workspace.folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&answer.stdout).into_owned();
    assert_eq!(
        said.trim(),
        "--gate-depth",
        "{}",
        String::from_utf8_lossy(&answer.stderr)
    );
}

#[test]
fn the_manual_has_a_page_for_each_command() {
    let workspace = Workspace::new();
    let answer = workspace.run(&["manual"]);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""));
    assert!(answer.out.contains(".TH goodshot 1"), "{}", answer.out);
    for command in COMMANDS {
        assert!(answer.out.contains(command), "{command}");
        let page = workspace.run(&["manual", command]);
        assert_eq!((page.code, page.err.as_str()), (0, ""), "{command}");
        assert!(page.out.contains(&format!(".TH goodshot-{command} 1")), "{}", page.out);
    }
    // roff writes a minus as \-.
    let page = workspace.run(&["manual", "check"]).out;
    assert!(page.contains("\\-\\-gate\\-depth") && page.contains("Exit codes"), "{page}");
    let answer = workspace.run(&["manual", "mill it"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    assert!(answer.err.contains("check, compare"), "{}", answer.err);
}
