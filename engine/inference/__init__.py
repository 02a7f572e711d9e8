"""What techniques share: links, visibility, evidence, and the search for candidates' places."""
