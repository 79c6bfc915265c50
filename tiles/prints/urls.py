"""Addresses under /print/."""

from django.urls import path

from tiles.prints import views
from tiles.prints.printers import views as printers
from tiles.prints.stocks import views as stocks
from tiles.prints.tray import views as tray

app_name = "prints"

urlpatterns = [
    path("", views.choose, name="choose"),
    path("cards.pdf", views.cards_pdf, name="cards_pdf"),
    path("labels.pdf", views.labels_pdf, name="labels_pdf"),
    path("mat", views.mat, name="mat"),
    path("mat.pdf", views.mat_pdf, name="mat_pdf"),
    path("stock/new", views.new_stock, name="new_stock"),
    path("stock/<int:pk>", views.edit_stock, name="edit_stock"),
    path("stock", stocks.stocks, name="stocks"),
    path("stock/drawing", stocks.drawing, name="stock_drawing"),
    path("printers", printers.printers, name="printers"),
    path("printers/new", printers.new, name="new_printer"),
    path("printers/<int:pk>", printers.edit, name="edit_printer"),
    path("printers/<int:pk>/check.pdf", printers.check_pdf, name="check_pdf"),
    path("printers/ruler.pdf", printers.ruler_pdf, name="ruler_pdf"),
    path("sheet/<str:key>", stocks.used_sheet, name="used_sheet"),
    path("tray", tray.tray, name="tray"),
    path("tray/chosen", views.chosen_to_tray, name="chosen_to_tray"),
    path("tray/add", tray.add, name="add_to_tray"),
    path("tray/empty", tray.empty, name="empty_tray"),
    path("tray/refill", tray.refill, name="refill_tray"),
    path("tray/print", tray.print_tray, name="print_tray"),
    path("tray/<int:pk>/out", tray.out, name="out_of_tray"),
    path("tray/<int:pk>/back", tray.back, name="back_to_tray"),
    path("tray/<int:pk>/move", tray.move, name="move_in_tray"),
    path("tray/<int:pk>/how", tray.choose, name="choose_in_tray"),
    path("runs/<int:pk>", tray.run, name="run"),
    path("runs/<int:pk>.pdf", tray.run_pdf, name="run_pdf"),
]
