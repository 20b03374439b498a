#compdef roundkit
# Completion of roundkit for zsh: source <(roundkit completion zsh)
_roundkit() {
	local -a found
	found=(${(f)"$(roundkit complete-words "${(@)words[2,CURRENT]}" 2>/dev/null)"})
	if (( ${#found} )); then
		compadd -M 'm:{a-zA-Z}={A-Za-z}' -- $found
	else
		_files
	fi
}
compdef _roundkit roundkit
