from livery.jobs.index import Figure, IndexPage, Section, render_index


def test_names_from_a_season_cannot_write_html() -> None:
    evil = "<script>alert(1)</script>"
    figure = Figure(image='a" onerror="x.svg', href="a b.pdf", caption=evil, alt=evil)
    html = render_index(IndexPage(evil, (evil,), (Section("s", evil, figures=(figure,)),)))
    assert "<script" not in html
    assert 'onerror="' not in html
    assert 'href="a%20b.pdf"' in html


def test_the_page_needs_nothing_from_elsewhere() -> None:
    html = render_index(IndexPage("Season", ("One.",), (Section("s", "Sheets", files=("a.pdf",)),)))
    assert 'href="a.pdf"' in html
    assert "http" not in html.replace("http-equiv", "")
