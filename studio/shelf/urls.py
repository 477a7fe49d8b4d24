from django.urls import path

from studio.shelf import views, views_containers, views_counting, views_importing, views_stickers

app_name = "shelf"
urlpatterns = [
    path("", views.shelf, name="shelf"),
    path("receive/", views.choose_material, name="receive"),
    path("receive/<int:pk>/", views.receive, name="receive"),
    path("use/", views.choose_container, name="use"),
    path("stickers/", views_stickers.sheet, name="stickers"),
    path("use/several/", views_containers.use_several, name="use_several"),
    path("materials/new/", views.new_material, name="new_material"),
    path("materials/<int:pk>/", views.material, name="material"),
    path("materials/<int:pk>/change/", views.change_material, name="change_material"),
    path("places/new/", views.new_place, name="new_place"),
    path("counts/", views_counting.counts, name="counts"),
    path("counts/begin/<int:place>/", views_counting.begin_count, name="begin_count"),
    path("counts/<int:sheet>/", views_counting.count_sheet, name="count_sheet"),
    path("counts/<int:sheet>/paper/", views_counting.count_paper, name="count_paper"),
    path("counts/<int:sheet>/type-in/", views_counting.count_from_paper, name="count_from_paper"),
    path("counts/<int:sheet>/finish/", views_counting.finish_count, name="finish_count"),
    path("counts/<int:sheet>/differences/", views_counting.count_differences, name="count_differences"),
    path("counts/<int:sheet>/decide/", views_counting.decide_count, name="decide_count"),
    path("import/", views_importing.import_file, name="import_file"),
    path("import/<int:imported>/", views_importing.import_preview, name="import_preview"),
    path("c/<slug:code>/", views.container, name="container"),
    path("c/<slug:code>/use/", views_containers.use, name="use"),
    path("c/<slug:code>/open/", views_containers.open_it, name="open"),
    path("c/<slug:code>/finish/", views_containers.finish, name="finish"),
    path("c/<slug:code>/split/", views_containers.split, name="split"),
    path("c/<slug:code>/away/", views_containers.send_away, name="send_away"),
    path("c/<slug:code>/confirmed/", views_containers.confirm, name="confirm"),
    path("c/<slug:code>/sticker/", views_stickers.single, name="sticker"),
    path("c/<slug:code>/cup/", views_containers.weigh_cup, name="weigh_cup"),
    path("c/<slug:code>/count/", views.count, name="count"),
    path("c/<slug:code>/move/", views.move, name="move"),
]
