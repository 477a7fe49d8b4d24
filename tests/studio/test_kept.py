from studio import kept


def test_a_piece_is_made_once_until_what_it_shows_changes():
    made = []

    def make():
        made.append(1)
        return f"<p>{len(made)}</p>"

    assert kept.piece("bath", 7, "rev 1", make=make) == "<p>1</p>"
    assert kept.piece("bath", 7, "rev 1", make=make) == "<p>1</p>"
    assert kept.piece("bath", 7, "rev 2", make=make) == "<p>2</p>"
