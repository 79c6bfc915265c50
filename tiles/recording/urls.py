"""Pages of recording; the short addresses that labels carry are mounted at the site's root."""

from django.urls import URLPattern

app_name = "recording"

urlpatterns: list[URLPattern] = []
short_addresses: list[URLPattern] = []
