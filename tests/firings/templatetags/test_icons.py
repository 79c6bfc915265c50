"""Icons: hidden from screen readers unless they say something, nothing typed as markup."""

import re

from django.template import Context, Template


def written(tag: str, **names: str) -> str:
    return Template(f"{{% icon {tag} %}}").render(Context(names))


def test_an_icon_beside_words_is_passed_over_by_who_listens():
    drawn = written('"print"')

    assert 'class="icon icon--print"' in drawn
    assert 'aria-hidden="true"' in drawn
    assert re.search(r'<use href="[^"]*icons[^"]*\.svg#print">', drawn)


def test_an_icon_alone_says_what_it_is_for():
    assert 'role="img" aria-label="take out"' in written('"close" "take out"')


def test_a_label_is_never_markup():
    assert "&lt;b&gt;&quot;" in written('"close" words', words='<b>"')
