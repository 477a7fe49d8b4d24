from django.urls import path

from studio.book import views

app_name = "book"
urlpatterns = [
    path("", views.BookView.as_view(), name="book"),
    path("book.csv", views.book_csv, name="book_csv"),
    path("seals/", views.seals_of_the_book, name="seals"),
    path("<int:pk>/", views.entry, name="entry"),
    path("<int:pk>/strike/", views.strike, name="strike"),
]
