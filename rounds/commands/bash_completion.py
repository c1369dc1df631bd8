"""Completion in bash, where a word such as ``to=B3-2`` is three: what click's own script does not know.

Bash breaks words at ``=``. The line is therefore handed over whole, and what is offered for a value goes back
without the part before its ``=``. No blank is put after what goes on (``to=``), and names with blanks are quoted.
"""

from __future__ import annotations

import os

from click.shell_completion import BashComplete, add_completion_class, split_arg_string

LINE = "_ROUNDS_LINE"
"""The line up to the cursor, as it is typed."""

SCRIPT = """\
%(complete_func)s() {
    local line="${COMP_LINE:0:COMP_POINT}" type value
    local typed="${line##*[[:space:]]}"
    COMPREPLY=()
    while IFS=, read -r type value; do
        case "$type" in
            dir) compopt -o dirnames 2>/dev/null ;;
            file) compopt -o default 2>/dev/null ;;
            plain)
                if [[ "$typed" == *=* && "$COMP_WORDBREAKS" == *=* ]]; then value="${value#*=}"; fi
                if [[ "$value" == *[=,] ]]; then compopt -o nospace 2>/dev/null; fi
                if [[ "$value" == *[!A-Za-z0-9_./,=:+@-]* ]]; then value="$(printf %%q "$value")"; fi
                if [[ -n "$value" ]]; then COMPREPLY+=("$value"); fi
                ;;
        esac
    done < <(env _ROUNDS_LINE="$line" %(complete_var)s=bash_complete "$1")
    return 0
}
complete -o nosort -F %(complete_func)s %(prog_name)s
"""


class WholeLine(BashComplete):
    """Reads the line itself instead of bash's words."""

    source_template = SCRIPT

    def get_completion_args(self) -> tuple[list[str], str]:
        line = os.environ.get(LINE)
        if line is None:
            return super().get_completion_args()
        words = split_arg_string(line)
        begun = words.pop() if words and not line[-1:].isspace() else ""
        return words[1:], begun


def register() -> None:
    """Let click answer bash by this class."""
    add_completion_class(WholeLine, "bash")
