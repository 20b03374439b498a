# Completion of roundkit for fish:
#   roundkit completion fish > ~/.config/fish/completions/roundkit.fish
function __roundkit_words
    set -l typed (commandline -opc)
    roundkit complete-words $typed[2..-1] (commandline -ct) 2>/dev/null
end
# Files are offered where roundkit has nothing of its own to offer.
complete -c roundkit -n 'test -n "$(__roundkit_words | string collect)"' -f -a '(__roundkit_words)'
