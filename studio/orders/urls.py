from django.urls import path

from studio.orders.views import costs, ordering, suppliers

app_name = "orders"
urlpatterns = [
    path("", ordering.OrdersView.as_view(), name="orders"),
    path("list/", ordering.paper, name="paper"),
    path("list.csv", ordering.orders_csv, name="orders_csv"),
    path("costs/", costs.CostsView.as_view(), name="costs"),
    path("low/", ordering.choose_low, name="low"),
    path("materials/<int:pk>/", ordering.material, name="material"),
    path("materials/<int:pk>/how-it-goes/", ordering.HowItGoesView.as_view(), name="how_it_goes"),
    path("materials/<int:pk>/low/", ordering.MarkLowView.as_view(), name="mark_low"),
    path("lines/<int:pk>/receive/", ordering.ReceiveLineView.as_view(), name="receive"),
    path("lines/<int:pk>/cancel/", ordering.CancelLineView.as_view(), name="cancel_line"),
    path("placed/<int:pk>/", ordering.placed, name="placed"),
    path("placed/<int:pk>/paper/", ordering.order_paper, name="order_paper"),
    path("placed/<int:pk>/order.csv", ordering.order_csv, name="order_csv"),
    path("placed/<int:pk>/order.txt", ordering.order_text, name="order_text"),
    path("placed/<int:pk>/delivery/", ordering.DeliveryView.as_view(), name="delivery"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/new/", suppliers.new_supplier, name="new_supplier"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("suppliers/<int:pk>/change/", suppliers.change_supplier, name="change_supplier"),
    path("suppliers/<int:pk>/order/", ordering.OrderView.as_view(), name="order"),
    path("suppliers/<int:pk>/invoice/", suppliers.file_invoice, name="file_invoice"),
    path("invoices/<int:pk>/", suppliers.invoice, name="invoice"),
    path("suppliers/<int:pk>/packs/new/", suppliers.new_pack, name="new_pack"),
    path("packs/<int:pk>/change/", suppliers.ChangePackView.as_view(), name="change_pack"),
]
