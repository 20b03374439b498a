# Completion of roundkit for bash: source <(roundkit completion bash)
_roundkit() {
	# Only what lies before the cursor counts; where nothing is found bash offers files.
	local IFS=$'\n'
	COMPREPLY=($(roundkit complete-words "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
}
complete -o default -F _roundkit roundkit
