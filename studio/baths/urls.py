app_name = "baths"
urlpatterns = []
