app_name = "shelf"
urlpatterns = []
