"""The full study: bud, leaf and freeze dates against Korean observations; see RULE.md."""
