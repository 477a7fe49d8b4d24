app_name = "book"
urlpatterns = []
